"""The README says what the program does: its example's output, its two commands, its cautions."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

from hobbyclosure.graph import CHECKS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_examples_output_is_what_the_command_prints():
    examples = [b for b in blocks("console") if b.count("\n") > 1]
    assert len(examples) == 1
    command, _, printed = examples[0].partition("\n")
    program, *arguments = shlex.split(command.removeprefix("$ "))
    beside = Path(sys.executable).with_name(program)
    done = subprocess.run([str(beside), *arguments], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 1  # eleven screws are short, and the example shows it
    assert done.stdout.rstrip() == printed.rstrip()


def test_there_are_exactly_two_set_up_commands_and_ci_runs_the_second():
    commands = blocks("sh")
    assert [c.count("\n") for c in commands] == [1, 1]
    assert commands[0].endswith(".venv/bin/hobbyclosure\n")
    assert "pytest" in commands[1]
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    picked = subprocess.run(
        ["awk", re.search(r"awk '(.*?)'", script)[1], "README.md"],  # type: ignore[index]
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert picked == commands[1]


def test_the_example_of_a_check_in_the_developers_guide_is_the_codes_own():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    example = re.search(r"```python\n(@check\(.*?)```", guide, re.DOTALL)
    assert example is not None
    source = (ROOT / "hobbyclosure" / "checks" / "case.py").read_text(encoding="utf-8")
    squeezed = re.sub(r"#.*|\s+", "", source)
    assert re.sub(r"\s+", "", example[1]) in squeezed
    assert "case.wall.yield" in CHECKS
