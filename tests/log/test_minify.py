"""The phone's scripts made short: the same program in fewer bytes."""

import pytest

from practice.log import shell
from practice.log.minify import minified, minified_together, tokens


@pytest.mark.parametrize(
    ("source", "short"),
    [
        ("// why\nfoo();\n", "foo();"),
        ("/* why */ foo();", "foo();"),
        ("let a = 1;\nlet b = 2;", "let A=1,B=2;"),
        ("const total = 1;\nuse(total + total);", "let A=1;use(A+A);"),
        ('say("a  //  b");', 'say("a  //  b");'),
        ("x = /a\\/[/]b/g.test(y);", "x=/a\\/[/]b/g.test(y);"),
        ("z = a / b / c;", "z=a/b/c;"),
        ("i + +j;", "i+ +j;"),
        ("return typeof x;", "return typeof x;"),
        ("f(a, b,);", "f(a,b);"),
        ("g([a, b,], {c: 1,});", "g([a,b],{c:1});"),
        ("/^[.,]$/.test(',)' + \";}\");", "/^[.,]$/.test(',)'+\";}\");"),
        ("f((a) => a, (b, c) => b, async (d) => d);", "f(a=>a,(b,c)=>b,async d=>d);"),
        ("if (a) { b(); }", "if(a){b()}"),
    ],
)
def test_space_comments_and_names(source, short):
    assert minified(source) == short


def test_templates_keep_their_text_and_lose_the_space_of_their_code():
    source = "const word = 1;\nuse(`  a ${ word } b ${ `c ${ word }` }  `);"
    assert minified(source) == "let A=1;use(`  a ${A} b ${`c ${A}`}  `);"


def test_properties_keys_and_shorthand_keep_their_names():
    source = "function show(first) { const total = first.total; return { total, first: total }; }"
    assert minified(source) == ("function A(a){let total=a.total;return{total,first:total}}")


def test_names_of_a_statement_are_used_again_in_the_next():
    source = "function one(left) { return left; }\nfunction two(right) { return right; }"
    assert minified(source) == "function A(a){return a}function B(a){return a}"


def test_a_name_of_the_top_level_is_the_same_everywhere():
    source = "const base = 1; function f(x) { return base + x; } function g(base) { return base; }"
    short = minified(source)
    name = short[len("let ")]
    assert f"return {name}+" in short
    assert f"({name}){{return {name}}}" in short


def test_scripts_of_one_page_share_their_names_and_stay_apart():
    first, second = minified_together(["const total = 1;", "use(total); const own = total;"])
    assert first == "let A=1;"
    assert second == "use(A);let B=A;"


def test_what_cannot_be_read_is_said():
    with pytest.raises(ValueError, match="Cannot read the script"):
        tokens("a # b")


def test_every_script_of_the_phone_is_shorter_and_keeps_its_words():
    for name in [*shell.SCRIPTS, *shell.MORE, "sw.js"]:
        source = shell.source(name)
        short = minified(source)
        assert len(short) < len(source) * 0.8
        texts = [text for kind, text in tokens(source) if kind == "text"]
        assert [text for kind, text in tokens(short) if kind == "text"] == texts
