"""The glossary: every word explained once, with its lesson and its source, and every label of the lab among them."""

from __future__ import annotations

import ast
import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from nbconvert.filters import markdown2html

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "notebooks"
GLOSSARY = FOLDER / "glossary.ipynb"
LESSONS = sorted(path for path in FOLDER.glob("0[1-9]_*.ipynb"))
TOPICS = ["The vehicle", "The damper", "The tests", "The road", "The measures", "The numbers"]
SOURCES = re.compile(
    r"common practice, no source|our choice|textbooks on [a-z ]+ \(from memory\)"
    r"|(ISO|ASTM|TS-\d)\S* .*\((secondary cop|from memory|copied page)|\(.*from memory\)"
)
"""A standard, a textbook, or the word that there is none."""

MEANT_BY = {
    # What a run's table says (measures/).
    "First back at ride height (within 5 %)": "First return",
    "Settled: stays within 5 %": "Settling time",
    "Overshoot past ride height": "Overshoot",
    "Visible swings after the first return": "Visible swing",
    "Body pushed down by": "Depth of the push",
    "Fastest shaft speed in compression": "Fastest shaft speed",
    "Fastest shaft speed in rebound": "Fastest shaft speed",
    "Strongest damper force in compression, at the shaft": "Strongest damper force",
    "Tyre load variation": "Tyre load variation",
    "Smallest tyre load": "Smallest tyre load",
    "Off the road, in all": "Off the road",
    "Off the road, longest stretch": "Off the road",
    "Comfort: weighted body acceleration, r.m.s.": "Weighted acceleration",
    "Comfort: weighted acceleration, the worst second": "Worst second",
    "Comfort: vibration dose value": "Vibration dose",
    "Body acceleration, largest (not weighted)": "Body acceleration",
    "Compression faster than its knee": "Time above the knee",
    "The damper turns into heat, on average": "Damper power",
    "Packed down over the bumps (mean wheel travel)": "Packing down",
    "Deepest wheel travel, from full extension": "Deepest travel",
    "Bump stop touched": "Bump stop touched",
    "Bottomed out": "Bottoming out",
    "Topped out": "Topping out",
    "Minimum contact force (smallest tyre load)": "Minimum contact force",
    "Plate's frequency there": "Shaker plate",
    "Off the plate, longest stretch": "Off the road",
    "Highest pressure in the oil (absolute)": "Oil pressure",
    "Lowest pressure in the oil (absolute)": "Oil pressure",
    "Cavitates in compression from": "Cavitation",
    "Cavitates in rebound from": "Cavitation",
    "The gas pushes the rod out, at ride height": "Gas force",
    "Viscosity of the oil": "Viscosity",
    "Rebound acts more open than at 20 °C by": "Drift",
    "…: highest shaft speed": "Fastest shaft speed",
    "…: the bleed then carries": "Bleed",
    "…: the blow-off then carries": "Blow-off",
    "Oil at the end": "Oil temperature",
    "It would settle at about": "Oil temperature",
    "The same ride … a reservoir: oil at the end": "Reservoir",
    "Heat into the damper at the end": "Damper power",
    "Release test … the ride: …": "Release test",
    "Rebound force gone, at 0.1 m/s": "Fade",
    "Rebound acts more open than at the start by": "Drift",
    # What a bench is set by (lab/).
    "Vehicle": "Station",
    "Adjuster": "Adjuster",
    "Rebound": "Rebound",
    "Compression, low speed": "Low speed",
    "Compression, high speed": "High speed",
    "Low-speed compression": "Low speed",
    "High-speed compression": "High speed",
    "Rider and load on this wheel": "Rider and load",
    "Held down by": "Release depth",
    "Force of the hand": "Force of the hand",
    "Time to reach it": "Rise time",
    "On the road": "Bump",
    "Its height or depth": "Bump",
    "Speed": "Vehicle speed",
    "Road": "Road class",
    "Map over": "Click map",
    "Colour shows": "Click map",
    "Harder by closing": "Harder by closing",
    "Oil temperature": "Oil temperature",
    "What is done": "Push test",
    "Wear or fault": "Wear or fault",
    "Reservoir": "Reservoir",
    "Time ridden": "Time ridden",
    "Whose stopwatch": "Stopwatch",
    "Bumps of the track": "Bump",
    "Air temperature": "Air temperature",
    # What a picture shows (lab/look.py).
    "body": "Body",
    "wheel": "Wheel",
    "road": "Road class",
    "tyre load": "Tyre load",
    "damper now": "Damper force",
    "rebound used": "Rebound",
    "compression used": "Compression",
    "compression side": "Compression",
    "rebound side": "Rebound",
    "cavitates": "Cavitation",
    "linear, small swings": "Linear view",
    "equivalent damping": "Equivalent damping",
    "with a reservoir": "Reservoir",
    "without one": "Reservoir",
    "tyre load variation": "Tyre load variation",
    "shaking of the body": "Weighted acceleration",
    "bleed": "Bleed",
    "blow-off": "Blow-off",
    "leak": "Leak",
    "better": "Better and worse",
    "worse": "Better and worse",
    "changed": "Better and worse",
}
"""Label -> the term that explains it."""
MAKERS = {"Measure", "MeasureKind", "Setting", "Choice", "Look", "Band"}
CONTROLS = {"NumberControl", "ChoiceControl"}


class Term(NamedTuple):
    """A heading of the third level with what stands under it."""

    topic: str
    name: str
    text: str

    @property
    def parts(self) -> dict[str, str]:
        return dict(re.findall(r"^- \*\*(.+?):\*\* (.+)$", self.text, flags=re.MULTILINE))


def text_of(notebook: Path) -> str:
    cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


def terms() -> list[Term]:
    found = []
    for section in re.split(r"^## ", text_of(GLOSSARY), flags=re.MULTILINE)[1:]:
        topic, _, rest = section.partition("\n")
        for entry in re.split(r"^### ", rest, flags=re.MULTILINE)[1:]:
            name, _, text = entry.partition("\n")
            found.append(Term(topic.strip(), name.strip(), text))
    return found


TERMS = terms()
ANCHORS = {term.name.replace(" ", "-") for term in TERMS}


def shown_labels() -> dict[str, str]:
    """Every label written in the code, and the file it stands in; what is filled in later is an ellipsis."""
    found = {}
    for room in ("measures", "lab"):
        for file in sorted((ROOT / "suspension_lab" / room).rglob("*.py")):
            for label in _labels_in(ast.parse(file.read_text(encoding="utf-8"))):
                found[_filled(label)] = f"{room}/{file.name}"
    return {label: file for label, file in found.items() if label}


def _labels_in(module: ast.Module) -> Iterator[ast.expr]:
    for node in ast.walk(module):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") in MAKERS:
            yield from (word.value for word in node.keywords if word.arg == "label")
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in CONTROLS:
            yield from node.args[:1]
        elif isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "ADJUSTER_LABELS":
            assert isinstance(node.value, ast.Dict)
            yield from node.value.values


def _filled(label: ast.expr) -> str:
    if isinstance(label, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "…" for part in label.values)
    return str(label.value) if isinstance(label, ast.Constant) else ""


LABELS = shown_labels()


@pytest.mark.parametrize("term", TERMS, ids=lambda term: term.name)
def test_each_term_has_its_parts(term):
    said = term.text.split("\n- **")[0].strip()
    sentences = re.findall(r"[.?](?= |$)", said.replace("\n", " "))
    assert 1 <= len(sentences) <= 4, said
    assert set(term.parts) <= {"Unit and sign", "Shown in", "Word from"}
    assert re.fullmatch(r"(\[lesson 0\d\]\(0\d_\w+\.ipynb\)(, )?)+", term.parts["Shown in"]), term.parts
    assert SOURCES.search(term.parts["Word from"]), term.parts["Word from"]


def test_terms_are_unique_and_stand_under_the_topics():
    assert [name for name, count in Counter(term.name.lower() for term in TERMS).items() if count > 1] == []
    assert list(dict.fromkeys(term.topic for term in TERMS)) == TOPICS
    assert len(TERMS) > 100


def test_all_words_are_listed_in_the_order_of_the_alphabet():
    listed = text_of(GLOSSARY).split("## All words")[1].split("\n## ")[0]
    names = re.findall(r"\[(.+?)\]\(#", listed)
    assert names == sorted(names, key=str.lower)
    assert sorted(names) == sorted(term.name for term in TERMS)


@pytest.mark.parametrize("term", TERMS, ids=lambda term: term.name)
def test_a_link_finds_the_term_in_every_reader(term):
    """Both readers make the anchor of a heading of letters and hyphens by putting hyphens for blanks.

    nbconvert, which Voila uses, is asked; JupyterLab does the same (seen in the browser).
    """
    assert re.fullmatch(r"[A-Za-z][A-Za-z -]*", term.name), term.name
    assert f'id="{term.name.replace(" ", "-")}"' in markdown2html(f"### {term.name}")


def links_of(notebook: Path) -> list[str]:
    return re.findall(r"\]\(([^)\s]+)\)", text_of(notebook))


@pytest.mark.parametrize("notebook", sorted(FOLDER.glob("*.ipynb")), ids=lambda path: path.stem)
def test_no_link_to_the_glossary_is_dead(notebook):
    for link in links_of(notebook):
        page, _, anchor = link.partition("#")
        if page == "glossary.ipynb" or (notebook == GLOSSARY and not page):
            assert not anchor or anchor in ANCHORS, link


def test_links_of_the_glossary_lead_to_lessons_that_show_the_word():
    for link in links_of(GLOSSARY):
        page, _, _ = link.partition("#")
        assert not page or (FOLDER / page).is_file(), link


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_each_lesson_leads_to_the_glossary(lesson):
    assert any(link.partition("#")[0] == "glossary.ipynb" for link in links_of(lesson))


def test_labels_are_found_in_the_code():
    """Were none found, all would be explained."""
    assert {
        "Settled: stays within 5 %",
        "Minimum contact force (smallest tyre load)",
        "Held down by",
        "Rebound",
        "body",
    } <= set(LABELS)


@pytest.mark.parametrize("label", LABELS)
def test_each_label_of_the_lab_is_explained(label):
    assert label in MEANT_BY, f"'{label}' ({LABELS[label]}): give it a term in glossary.ipynb and name it here"
    assert MEANT_BY[label] in {term.name for term in TERMS}, MEANT_BY[label]


def test_no_label_is_explained_that_is_gone():
    assert sorted(set(MEANT_BY) - set(LABELS)) == []


def test_words_to_take_care_with_say_which_is_which():
    care = text_of(GLOSSARY).split("## Words to take care with")[1].split("\n## ")[0]
    stiff = next(line for line in care.splitlines() if line.startswith("- **stiff:**"))
    assert "spring" in stiff
    assert re.search(r"damper is \*\*hard\*\* or \*\*soft\*\*", stiff)
