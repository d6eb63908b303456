"""No file of the project names a package host or a folder of somebody's machine."""

import re

import pytest
from tests.packaging.project import ROOT, output_of

# Put together from pieces, so that this file does not name what it looks for.
PLACES = re.compile(
    "|".join(
        [
            "index-" + "url",
            "find-" + "links",
            'registry = "' + "http",
            r"\b(?:pypi|pythonhosted|debian|npmjs)" + r"\.(?:org|net|com)\b",
            r"(?<![\w.$}])" + "/(?:root|home)/",
            r"(?<![\w.$}])" + "/wo" + "rk/(?!kind|inspect|designed_on)",  # those are JSON Pointers into a description
        ]
    )
)


def places(text: str) -> list[str]:
    """Each package host and absolute path of a machine named in `text`, with its line."""
    return [f"{number}: {line.strip()}" for number, line in enumerate(text.splitlines(), 1) if PLACES.search(line)]


def test_no_tracked_file_names_a_host_or_a_machine() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("this is no git checkout")
    names = [name for name in output_of("git", "ls-files", "-z").split("\0") if name and (ROOT / name).is_file()]

    assert {name: found for name in names if (found := places((ROOT / name).read_bytes().decode("utf-8", "replace")))} == {}


@pytest.mark.parametrize(
    "line",
    [
        "--extra-index-" + "url https://packages.example/simple",
        'source = { registry = "' + 'http://10.0.0.1/simple" }',
        "https://files.pythonhosted" + ".org/packages/x.whl",
        "cd " + "/work" + "/project",
        "PATH=" + "/root" + "/bin",
    ],
)
def test_a_host_or_a_machine_is_found(line: str) -> None:
    assert places("first\n" + line) == [f"2: {line}"]


@pytest.mark.parametrize("line", ["FROM debian:trixie-slim", "POST /v1/evaluations", "https://example.com/home/page", '"$work/root/etc"'])
def test_other_addresses_and_paths_pass(line: str) -> None:
    assert places(line) == []
