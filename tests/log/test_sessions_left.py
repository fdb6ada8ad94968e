"""Sessions left, by one table of cases for the server and for the phone."""

import json
from pathlib import Path

import pytest

from practice.compliance.parts import AskedPart, LoggedBlock, LoggedStep, credit_of, sessions_left
from practice.drills.dose import parse
from practice.phone.bundle import step_rows

CASES = json.loads((Path(__file__).parent / "sessions_left.json").read_text())
DOSE = "10@50, 8@70"
PACE = 30


def blocks_of(case) -> list[LoggedBlock]:
    return [
        LoggedBlock(
            day=block["day"],
            steps=tuple(
                LoggedStep(n, None, (block.get("e") or {0: None, 1: None})[i])
                for i, n in enumerate(block.get("s", []))
            ),
            minutes=block.get("min"),
            as_asked=block.get("as", False),
            stopped=block.get("stop", False),
            is_swap=block.get("swap", False),
        )
        for block in case["blocks"]
    ]


def phone_part(case) -> dict:
    """The same part as the phone has it in its week, before anything was counted."""
    dose = parse(case.get("dose", DOSE))
    return {
        "id": "p",
        "drill": "own",
        "steps": step_rows(dose),
        "spr": PACE,
        "minutes": dose.minutes(PACE),
        "asked": case["asked"],
        "done": 0,
        "total": case.get("total", False),
    }


def phone_rows(case) -> list[dict]:
    """The same blocks as entries that only the phone knows."""
    rows = []
    for n, block in enumerate(case["blocks"]):
        felt = block.get("e") or [None] * 9
        said = {"p": "p", "s": [{"n": m, "e": felt[i]} for i, m in enumerate(block.get("s", []))]}
        said |= {key: block[key] for key in ("as", "stop", "min") if key in block}
        if block.get("swap"):
            said["d"] = "another"
        day = f"2026-11-2{3 + block['day']}"
        rows.append({"st": 0, "e": {"id": f"e{n}", "day": day, "b": [said]}})
    return rows


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["what"])
def test_the_server_says(case):
    dose = parse(case.get("dose", DOSE))
    part = AskedPart(
        dose,
        case["asked"],
        dose.minutes(PACE),
        seconds_per_rep=PACE,
        by_total=case.get("total", False),
    )
    assert sessions_left(credit_of(part, blocks_of(case))) == case["left"]
