"""The macros of Excel's add-in file, written from the registry. They only hand cells over; every number is Python's.

A cell of any workbook can call whatever a macro module has that is not `Private`. So one module holds the worksheet
functions and all that starts and calls Python, and nothing in it but the functions can be reached from outside. What
happens when the add-in or a workbook is opened stands in the add-in's own module, all of it `Private`.
"""

from collections.abc import Iterable
from importlib.metadata import version

from addin.functions.gate import REQUIRED, Arg, Function
from addin.functions.registry import FUNCTIONS
from addin.hosts.excel import CATEGORY

PROJECT = "tautsheet"
MODULE = "addin.hosts.excel"
"""The Python module that the macros call."""
CALLS = f"{PROJECT}_functions"
"""The macro module that hands cells over."""
SETTINGS_SHEET = f"{PROJECT}.conf"
COMMAND, LIBRARIES, ON_OPENING = "Command", "Libraries", "When a workbook opens"
SETTINGS = (COMMAND, LIBRARIES, ON_OPENING)
"""What stands in the settings sheet, in this order: names in the first column, values in the second."""
HELP_LIMIT = 255
"""Most characters that the function wizard shows of a text."""

_LICENCE = """\
'How Python is started and called follows the macros of xlwings, which are distributed under a BSD 3-clause license:
'
'Copyright (C) 2014-present, Zoomer Analytics LLC.
'All rights reserved.
'
'Redistribution and use in source and binary forms, with or without modification,
'are permitted provided that the following conditions are met:
'
'* Redistributions of source code must retain the above copyright notice, this
'  list of conditions and the following disclaimer.
'
'* Redistributions in binary form must reproduce the above copyright notice, this
'  list of conditions and the following disclaimer in the documentation and/or
'  other materials provided with the distribution.
'
'* Neither the name of the copyright holder nor the names of its
'  contributors may be used to endorse or promote products derived from
'  this software without specific prior written permission.
'
'THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS" AND
'ANY EXPRESS OR IMPLIED WARRANTIES, INCLUDING, BUT NOT LIMITED TO, THE IMPLIED
'WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE
'DISCLAIMED. IN NO EVENT SHALL THE COPYRIGHT HOLDER OR CONTRIBUTORS BE LIABLE FOR
'ANY DIRECT, INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR CONSEQUENTIAL DAMAGES
'(INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS OR SERVICES;
'LOSS OF USE, DATA, OR PROFITS; OR BUSINESS INTERRUPTION) HOWEVER CAUSED AND ON
'ANY THEORY OF LIABILITY, WHETHER IN CONTRACT, STRICT LIABILITY, OR TORT
'(INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY OUT OF THE USE OF THIS
'SOFTWARE, EVEN IF ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.
"""

_DECLARED = """\
#If Win64 Then
    Private Const LIBRARY As String = "{wide}"
    Private Declare PtrSafe Function PythonObject Lib "{wide}" Alias "XLPyDLLActivateAuto" (ByRef Result As Variant, \
Optional ByVal Config As String = "", Optional ByVal mode As Long = 1) As Long
#Else
    Private Const LIBRARY As String = "{narrow}"
    Private Declare PtrSafe Function PythonObject Lib "{narrow}" Alias "XLPyDLLActivateAuto" (ByRef Result As Variant, \
Optional ByVal Config As String = "", Optional ByVal mode As Long = 1) As Long
#End If
Private Declare PtrSafe Function LoadLibrary Lib "KERNEL32" Alias "LoadLibraryA" (ByVal lpLibFileName As String) As Long
"""

_CALLING = """\
Private Function XLPy()
    Dim path As String
    path = Setting(2) + "\\" + LIBRARY
    If LoadLibrary(path) = 0 Then Err.Raise 1001, Description:="cannot load " + path
    If 0 <> PythonObject(XLPy, Setting(1), 1) Then Err.Raise 1000, Description:=XLPy
End Function

Private Function Refusal(reason As String) As String
    Refusal = "STOP: tautsheet's Python does not answer; run 'tautsheet excel --check' (" + reason + ")"
End Function
"""

_SETTING_OF_SHEET = f"""\
Private Function Setting(ByVal row As Long) As String
    Setting = ThisWorkbook.Worksheets("{SETTINGS_SHEET}").Cells(row, 2).Value
End Function
"""


def library(bits: int) -> str:
    """Name of xlwings' library for an Excel of so many bits; each release has its own.

    >>> library(64) == f"xlwings64-{version('xlwings')}.dll"
    True
    """
    return f"xlwings{bits}-{version('xlwings')}.dll"


def calls(functions: Iterable[Function] = FUNCTIONS, settings: Iterable[str] | None = None) -> str:
    """The macro module that calls Python for every function.

    `settings`: for a module that stands alone, its settings in the order of SETTINGS; otherwise they are read from the
    settings sheet of the file that holds the module.
    """
    lines = [
        f'Attribute VB_Name = "{CALLS}"',
        "'Worksheet functions, written from the registry of tautsheet. Only they can be reached from a cell.",
        *_LICENCE.splitlines(),
        "Option Explicit",
        "",
        *_DECLARED.format(wide=library(64), narrow=library(32)).splitlines(),
        "",
        *(_SETTING_OF_SHEET if settings is None else _setting_of_text(settings)).splitlines(),
        "",
        *_CALLING.splitlines(),
    ]
    for function in sorted(functions, key=lambda function: function.name):
        name, arguments = function.name, ", ".join(arg.name for arg in function.args)
        lines += [
            "",
            f"Function {name}({', '.join(map(_parameter, function.args))})",
            "    If TypeOf Application.Caller Is Range Then On Error GoTo failed",
            f'    {name} = XLPy.CallUDF("{MODULE}", "{name}", Array({arguments}), Nothing, Application.Caller)',
            "    Exit Function",
            "failed:",
            f"    {name} = Refusal(Err.Description)",
            "End Function",
        ]
    return "\n".join([*lines, ""])


def _setting_of_text(settings: Iterable[str]) -> str:
    texts = ", ".join(_text(value, limit=None) for value in settings)
    return f"Private Function Setting(ByVal row As Long) As String\n    Setting = Choose(row, {texts})\nEnd Function\n"


def _parameter(arg: Arg) -> str:
    return arg.name if arg.default is REQUIRED else f"Optional {arg.name}"


def _text(text: str, limit: int | None = HELP_LIMIT) -> str:
    quoted = text[:limit].replace('"', '""')
    return f'"{quoted}"'


def opening(functions: Iterable[Function] = FUNCTIONS) -> str:
    """The add-in's own module: the wizard's texts on opening; on request, what a workbook needs that is opened.

    A workbook made with another user's add-in gets its links turned to this one, and formulas of ours that show #NAME?
    are entered again. Only formulas with a name of ours are touched, and a workbook that was saved still counts as it.
    """
    functions = tuple(functions)
    lines = _OPENING.splitlines()
    at = lines.index(_NAMES)
    lines[at : at + 1] = _joined([function.name for function in functions])
    lines += ["", "Private Sub DescribeAll()", "    On Error Resume Next"]
    lines += [f"    Describe_{function.name}" for function in functions]
    lines += ["    described = Not (ActiveWindow Is Nothing)", "    ThisWorkbook.Saved = True", "End Sub"]
    lines += [
        "",
        "Private Sub Describe(functionName As String, text As String, arguments As Variant)",
        '    Application.MacroOptions Macro:="\'" & ThisWorkbook.Name & "\'!" & functionName, Description:=text, _',
        f'        Category:="{CATEGORY}", ArgumentDescriptions:=arguments',
        "End Sub",
    ]
    for function in functions:
        lines += [
            "",
            f"Private Sub Describe_{function.name}()",
            f"    Dim texts(1 To {len(function.args)}) As String",
            *(f"    texts({number}) = {_text(arg.help)}" for number, arg in enumerate(function.args, start=1)),
            f"    Describe {_text(function.name)}, {_text(function.help)}, texts",
            "End Sub",
        ]
    return "\n".join([*lines, ""])


def _joined(names: list[str], a_line: int = 6) -> list[str]:
    """Names as one text of a macro, over lines of an allowed length."""
    parts = ["|".join(names[at : at + a_line]) for at in range(0, len(names), a_line)]
    return [f"    names = {_text(parts[0])}", *(f"    names = names & {_text('|' + part)}" for part in parts[1:])]


_NAMES = "    'names"
_OPENING = f"""\
Option Explicit

Private WithEvents session As Application
Private described As Boolean

Private Sub Workbook_Open()
    On Error Resume Next
    DescribeAll
    Dim wanted As String
    wanted = ThisWorkbook.Worksheets("{SETTINGS_SHEET}").Cells(3, 2).Value
    If wanted = "yes" Then Set session = Application
End Sub

Private Sub session_WorkbookOpen(ByVal Wb As Workbook)
    On Error Resume Next
    If Wb.FullName = ThisWorkbook.FullName Then Exit Sub
    If Not described Then DescribeAll
    TurnLinks Wb
    EnterAgain Wb
End Sub

Private Sub TurnLinks(ByVal book As Workbook)
    On Error GoTo done
    Dim links As Variant, link As Variant
    links = book.LinkSources(xlExcelLinks)
    If IsEmpty(links) Then Exit Sub
    For Each link In links
        If IsOtherAddin(Replace(link, "/", "\\")) Then
            book.ChangeLink Name:=link, NewName:=ThisWorkbook.FullName, Type:=xlLinkTypeExcelLinks
        End If
    Next
done:
End Sub

Private Function IsOtherAddin(ByVal path As String) As Boolean
    If LCase$(path) = LCase$(ThisWorkbook.FullName) Then Exit Function
    IsOtherAddin = LCase$(Mid$(path, InStrRev(path, "\\") + 1)) = LCase$(ThisWorkbook.Name)
End Function

Private Sub EnterAgain(ByVal book As Workbook)
    Dim sheet As Worksheet, cell As Range, was As Boolean
    was = book.Saved
    For Each sheet In book.Worksheets
        If Not sheet.ProtectContents Then
            If Not Broken(sheet) Is Nothing Then
                For Each cell In Broken(sheet).Cells
                    EnterCell cell
                Next
            End If
        End If
    Next
    book.Saved = was
End Sub

Private Function Broken(ByVal sheet As Worksheet) As Range
    On Error GoTo none
    Set Broken = sheet.UsedRange.SpecialCells(xlCellTypeFormulas, xlErrors)
none:
End Function

Private Sub EnterCell(ByVal cell As Object)
    On Error GoTo done
    If Not IsError(cell.Value) Then Exit Sub
    If cell.Value <> CVErr(xlErrName) Then Exit Sub
    If Not IsOurs(cell.Formula) Then Exit Sub
    If cell.HasArray Then
        cell.CurrentArray.FormulaArray = cell.FormulaArray
    ElseIf Val(Application.Version) >= 16 And HasSpill() Then
        cell.Formula2 = cell.Formula2
    Else
        cell.Formula = cell.Formula
    End If
done:
End Sub

Private Function HasSpill() As Boolean
    On Error GoTo no
    Dim probe As Object
    Set probe = ThisWorkbook.Worksheets("{SETTINGS_SHEET}").Cells(1, 1)
    HasSpill = Len(probe.Formula2) > 0
no:
End Function

Private Function IsOurs(ByVal formula As String) As Boolean
    Dim name As Variant, names As String
    'names
    For Each name In Split(names, "|")
        If InStr(1, formula, name & "(", vbTextCompare) > 0 Then
            IsOurs = True
            Exit Function
        End If
    Next
End Function
"""
