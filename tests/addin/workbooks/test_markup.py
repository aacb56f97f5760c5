import pytest

from addin.workbooks.markup import Markup, MarkupError, _plainly_shallow, set_attribute, unescape


def nested(depth, more):
    return ("<a>" + "<v>" * depth + more + "</v>" * depth + "</a>").encode()


@pytest.mark.parametrize(
    "more",
    ["", "<!-- a -->", "<![CDATA[<a><a/>]]>", "/>" * 200_000, "<?p ?>", '<a b="/>"/>' * 30_000],
    ids=["plain", "comment", "cdata", "signs in a text", "instruction", "signs in attributes"],
)
def test_elements_inside_each_other_without_end(more):
    Markup(nested(990, more))
    with pytest.raises(MarkupError, match="more than 1000 elements inside each other"):
        Markup(nested(500_000, more))


def test_many_elements_beside_each_other():
    """Tags whose two signs fall into different pieces are counted once."""
    for width in (1, 2, 3):
        row = b"<r" + b"o" * width + b"/><b></b>"
        content = b"<a>" + row * 100_000 + b"</a>"
        assert _plainly_shallow(content)
        Markup(content)
        assert len(list(Markup(b"<a>" + row * 1000 + b"</a>").tags())) == 3002


@pytest.mark.parametrize(
    "odd",
    ['<a b="{}"/>', "<a>{}</a>", "<!-- {} --><a/>", "<a><![CDATA[{}]]></a>"],
    ids=["value", "text", "comment", "cdata"],
)
def test_a_tag_or_text_without_end(odd):
    Markup(odd.format("x" * 300_000).encode() if "!--" not in odd else b"<a/>")
    with pytest.raises(MarkupError, match="a tag or a text of more than 1 MiB|does not begin as XML does"):
        Markup(odd.format("x" * 1_100_000).encode())


def test_the_longest_text_of_a_cell_written_in_the_longest_way():
    Markup(f"<a>{'&#x1F529;' * 16_383}</a>".encode())


def test_comments_are_blanked_out_and_positions_stay():
    content = "<a>é<!-- <b/> --><c/><![CDATA[<d/>]]><?e <f/>?></a>".encode()
    markup = Markup(content)
    assert len(markup.plain) == len(content)
    assert [tag.name for tag in markup.tags()] == ["a", "c", "a"]
    assert markup.content == content


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b" ",
        b"<a>",
        b"<a></b>",
        b"<a/><b/>",
        b"<a>&b;</a>",
        b"<a:b/>",
        b"<a b='1' b='2'/>",
        b"<a>\xff</a>",
        b"<a>\0</a>",
    ]
    + [b"<a><![CDATA[</a>", b"<a><!-- </a>", b"<a b=1/>", b"<!DOCTYPE a><a/>", b"\xff\xfe<\0a\0/\0>\0"],
)
def test_what_is_not_well_formed(content):
    with pytest.raises(MarkupError):
        Markup(content)


def test_attributes_are_set_in_the_first_tag_only():
    assert set_attribute(b"<a><b c='1'/></a>", b"c", b"2") == b"<a c=\"2\"><b c='1'/></a>"
    assert set_attribute(b"<a c = '1' d='>'/>", b"c", b"2") == b"<a c = '2' d='>'/>"
    with pytest.raises(ValueError, match="no start tag"):
        set_attribute(b"text", b"c", b"2")


def test_references():
    assert unescape("&#x1F529;&#xe9;&amp;#65;&quot;&apos;&nothing;") == "\U0001f529\xe9&#65;\"'&nothing;"
