"""Wrench books in the words of other languages: sheets, labels, links, gauges, lubricants."""

import datetime
from pathlib import Path

import openpyxl
import pytest

from addin.wrenches.wrench_book import read_wrench_book
from calc.units import system

DAY, UNTIL = datetime.date(2026, 1, 5), datetime.date(2027, 1, 4)
WORDS = {
    "German": {
        "sheets": ("Manometer", "Schmierstoffe"),
        "labels": ("Drehmomentschrauber", "Bauart", "Kalibrierschein", "Kalibriert am", "Gültig bis", "Nenndruck (bar)",
                   "Nenndruck Schlauch (bar)", "Pumpe", "Nenndruck Pumpe (bar)", "Manometer"),
        "links": ("Nuss", "Schlüsselweite (mm)", "Faktor", "Grenzmoment (N·m)"),
        "table": ("Druck (bar)", "Drehmoment (N·m)"),
        "gauges": ("Manometer", "Einheit", "Messbereich", "Teilung", "Klasse", "Kalibrierschein", "Kalibriert am",
                   "Gültig bis"),
        "lubricants": ("Produkt", "Gewindereibung", "Kopfreibung", "Quelle"),
    },
    "French": {
        "sheets": ("Manomètres", "Lubrifiants"),
        "labels": ("Clé dynamométrique hydraulique", "Type", "Certificat", "Étalonné le", "Valable jusqu'au",
                   "Pression maximale (bar)",
                   "Pression flexible (bar)", "Pompe", "Pression pompe (bar)", "Manomètre"),
        "links": ("Cassette", "Sur plats (mm)", "Facteur", "Couple maximal (N·m)"),
        "table": ("Pression (bar)", "Couple (N·m)"),
        "gauges": ("Manomètre", "Unité", "Étendue", "Échelon", "Classe", "Certificat", "Étalonné le",
                   "Valable jusqu'au"),
        "lubricants": ("Produit", "Frottement filet", "Frottement écrou", "Source"),
    },
    "Spanish": {
        "sheets": ("Manómetros", "Lubricantes"),
        "labels": ("Llave hidráulica", "Tipo", "Certificado", "Calibrado el", "Válido hasta", "Presión máxima (bar)",
                   "Presión manguera (bar)", "Bomba", "Presión bomba (bar)", "Manómetro"),
        "links": ("Vaso", "Entrecaras (mm)", "Factor", "Par máximo (N·m)"),
        "table": ("Presión (bar)", "Par (N·m)"),
        "gauges": ("Manómetro", "Unidad", "Rango", "División", "Clase", "Certificado", "Calibrado el", "Válido hasta"),
        "lubricants": ("Producto", "Fricción rosca", "Fricción tuerca", "Fuente"),
    },
}  # fmt: skip


@pytest.mark.parametrize("language", WORDS)
def test_a_book_in_another_language_is_read_whole(tmp_path: Path, language: str) -> None:
    words = WORDS[language]
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "HS-1"
    values = ("HS-1", "square", "C-1", DAY, UNTIL, 700, 700, "P-1", 700, "M-5")
    for line in zip(words["labels"], values, strict=True):
        sheet.append(line)
    for line in ((), words["links"], ("SW 41", 41, 1, 4300), (), words["table"], (100, 571), (350, 2076), (700, 4183)):
        sheet.append(line)
    gauges, lubricants = (book.create_sheet(name) for name in words["sheets"])
    for line in (words["gauges"], ("M-5", "bar", 1000, 10, "1.0", "C-2", DAY, UNTIL)):
        gauges.append(line)
    for line in (words["lubricants"], ("MoS2", 0.12, 0.13, "data sheet")):
        lubricants.append(line)
    book.save(tmp_path / "book.xlsx")
    found = read_wrench_book(tmp_path / "book.xlsx", system("SI"))
    assert [(each.code, each.facts) for each in found.findings if each.level == "stop"] == []
    assert [each.code for each in found.findings] == []
    (wrench,) = found.wrenches
    assert [(link.name, round(link.across_flats, 6), link.factor, link.torque_limit) for link in wrench.links] == [
        ("SW 41", 0.041, 1.0, 4300.0)
    ]
    assert (found.gauges["M-5"].range, found.gauges["M-5"].marks.step) == (pytest.approx(1e8), pytest.approx(10))
    (product,) = found.lubricants
    assert (product.product, product.thread_friction, product.nut_friction) == ("MoS2", 0.12, 0.13)
