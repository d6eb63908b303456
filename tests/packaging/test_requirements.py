"""What is installed beside Bondwright: the exact versions in the image, and their licences."""

import re
from importlib.metadata import metadata

import pytest
from tests.packaging.project import ROOT, output_of, pyproject

REQUIREMENTS = (ROOT / "service" / "requirements.txt").read_text(encoding="utf-8")

ALLOWED = re.compile(r"\b(MIT|BSD|Apache|MPL|Mozilla|LGPL|Lesser|PSF|Python|ISC)\b")
REFUSED = re.compile(r"\bA?GPL|(?<!Lesser )\bGeneral Public License")


def pins(requirements: str) -> set[str]:
    """Each line `name==version`, with its marker, of a requirements file."""
    return {line.rstrip(" \\") for line in requirements.splitlines() if re.match(r"[\w.-]+==", line)}


def is_allowed(licence: str) -> bool:
    """Whether a service may ship with a library of this licence: permissive, or unmodified LGPL or MPL."""
    return bool(ALLOWED.search(licence)) and not REFUSED.search(licence)


def licence_of(distribution: str) -> str:
    """What an installed distribution says its licence is: its expression, or else its classifiers and short name."""
    said = metadata(distribution).get_all
    if expression := said("License-Expression"):
        return str(expression[0])
    classifiers = [text for text in said("Classifier") or [] if text.startswith("License ::")]
    return "; ".join([*classifiers, *str((said("License") or [""])[0]).splitlines()[:1]])


def shipped() -> list[str]:
    """Names of every distribution in the image, and of every direct dependency."""
    names = {pin.partition("==")[0] for pin in pins(REQUIREMENTS)}
    names |= {re.split(r"[^\w.-]", requirement)[0].lower() for requirement in pyproject()["project"]["dependencies"]}
    return sorted(names)


def test_the_image_installs_what_the_project_resolves_to() -> None:
    resolved = output_of("uv", "export", "--offline", "--quiet", "--no-dev", "--no-emit-project", "--format", "requirements.txt")

    assert pins(resolved) == pins(REQUIREMENTS), (
        "write it anew: uv export --no-dev --no-emit-project --format requirements.txt -o service/requirements.txt"
    )


def test_every_pin_has_a_hash() -> None:
    entries = re.split(r"\n(?=\S)", REQUIREMENTS)

    assert [entry for entry in entries if "==" in entry and "--hash=sha256:" not in entry] == []


@pytest.mark.parametrize("distribution", shipped())
def test_every_library_we_ship_has_an_allowed_licence(distribution: str) -> None:
    assert is_allowed(licence_of(distribution)), licence_of(distribution)


@pytest.mark.parametrize(
    "licence", ["MIT", "BSD-3-Clause", "Apache-2.0 OR MIT", "MPL-2.0 AND (Apache-2.0 OR MIT)", "LGPL-3.0-only", "PSF-2.0"]
)
def test_a_permissive_or_library_licence_is_allowed(licence: str) -> None:
    assert is_allowed(licence)


@pytest.mark.parametrize(
    "licence",
    [
        "",
        "Proprietary",
        "GPL-3.0-only",
        "AGPL-3.0-or-later",
        "MIT AND GPL-2.0",
        "License :: OSI Approved :: GNU General Public License v3 (GPLv3)",
    ],
)
def test_a_copyleft_or_unnamed_licence_is_refused(licence: str) -> None:
    assert not is_allowed(licence)
