"""Four designs that lose or double, each the shell with one idea of it replaced.

They are here so that the checks keep their teeth: the same check that the real
shell passes must fail on each of them.
"""

from practice.phone import shell

BODY = "const body = JSON.stringify({ sent: stamp(new Date()), e: batch });"
CHANGE = "const change = said.named.includes(e.id) && receipt(answer.r[e.id], answer.why?.[e.id]);"
# Comparing with the server's list would mend what N2 and N3 break.
NO_COMPARISON = (
    "owed.js",
    "return rows.filter((row) => listed(row) && !have.has(row.e.id)).map(({ e }) => e);",
    "return [];",
)
# What to replace in which file: the real line, and the wrong one.
DESIGNS = {
    "N1 the id is made anew for each try": [
        (
            "outbox.js",
            BODY,
            (
                "const renamed = batch.map((e) => ({ ...e, id: newId(), note: e.note || e.id }));"
                " const body = JSON.stringify({ sent: stamp(new Date()), e: renamed });"
            ),
        ),
        (
            "outbox.js",
            "const said = judge(status, answer, batch.map((e) => e.id));",
            (
                "const said = judge(status, answer, renamed.map((e) => e.id));"
                " batch = batch.map((e, i) => ({ ...e, sentAs: renamed[i].id }));"
            ),
        ),
        (
            "outbox.js",
            CHANGE,
            "const change = said.named.includes(e.sentAs) && receipt(answer.r[e.sentAs]);",
        ),
    ],
    "N2 any 2xx means sent": [
        NO_COMPARISON,
        (
            "decide.js",
            "if (status === 200 && ok === true) {",
            (
                "if (status >= 200 && status < 300) "
                "return { kind: 'receipts', named: ids, all: 1 };"
                " if (status === 200 && ok === true) {"
            ),
        ),
        (
            "outbox.js",
            CHANGE,
            "const change = said.all ? { st: 1 } : null;",
        ),
    ],
    "N3 a 4xx means drop": [
        NO_COMPARISON,
        (
            "decide.js",
            'if (status === 401 && code === "login") return { kind: "login" };',
            "if (status >= 400 && status < 500) return { kind: 'receipts', named: ids, all: 1 };",
        ),
        (
            "outbox.js",
            CHANGE,
            "const change = said.all ? { st: 1 } : receipt(Object(answer.r)[e.id]);",
        ),
    ],
    "N4 'being sent' is stored": [
        (
            "outbox.js",
            BODY,
            f"await settle(batch.map((e) => ({{ id: e.id, e, st: 3 }}))); {BODY}",
        ),
        ("store.js", "!copied && st !== 1 && hasCopies()", "!copied && st === 0 && hasCopies()"),
    ],
}


RIGHT = {"as it is": [], "without the comparison": [NO_COMPARISON]}


def built(design: str) -> tuple[bytes, bytes]:
    """Page and second script of a design, right or wrong.

    Fails if a line to replace is not there.
    """
    changes = (DESIGNS | RIGHT)[design]

    def read(name: str) -> str:
        text = shell.source(name)
        for file, right, wrong in changes:
            if file == name:
                assert text.count(right) == 1, f"{design}: the line has changed: {right}"
                text = text.replace(right, wrong)
        return text

    return shell.assembled(read)[0], shell.scripts(read)[1].encode()
