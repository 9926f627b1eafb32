"""A design typed from nothing in the browser, saved, and read by the command."""

import pytest

from hobbyclosure import file
from tests.browser.conftest import Server, Start, Visit
from tests.browser.notebook import Notebook
from tests.browser.test_fields import opens, row, says
from tests.browser.test_files import agrees_with_the_command, save_as, saved


@pytest.fixture
def blank(visit: Visit, start: Start) -> tuple[Notebook, Server]:
    """The notebook in a folder of its own, the form of a new design open."""
    server = start("--as-saved")
    notebook = visit(server.url)
    notebook.menu("New design…")
    return notebook, server


def begun(notebook: Notebook, **typed: str) -> None:
    """Fill the form and start."""
    for label, text in typed.items():
        notebook.leaf.get_by_label(label.replace("_", " ")).fill(text)
    notebook.leaf.get_by_role("button", name="Start").click()


def typed(notebook: Notebook, path: str, text: str, shows: str) -> None:
    """Type a field's number in its row."""
    box = row(notebook, path).locator(".box")
    box.fill(text)
    box.press("Enter")
    says(notebook, path, shows)


def opens_part(notebook: Notebook, part: str) -> None:
    """Turn the open rows to another part."""
    notebook.find("aside.fields select").first.select_option(part)


def test_a_design_typed_from_nothing_is_saved_and_assessed_alike(blank) -> None:
    notebook, server = blank
    begun(
        notebook, Name="Gull", Bore_of_the_tube="101.6", Wall="4.2 mm", Expected_peak_pressure="4"
    )
    notebook.wait("() => probe.page().name === 'Gull'")
    opens(notebook, "screw")
    typed(notebook, "screw.count", "18", "18")
    opens_part(notebook, "closure")
    typed(notebook, "closure.clearance", "0.07 mm", "0.07")
    notebook.page.keyboard.press("Escape")
    save_as(notebook, "gull")
    saved(notebook)
    path = server.folder / "gull.toml"
    design = file.opened(path).design
    assert (design.name, design["case.bore"].value) == ("Gull", pytest.approx(0.1016))
    assert design["screw.count"].value == 18
    assert design["closure.clearance"].value == pytest.approx(7e-5)
    notebook.shows(design)
    agrees_with_the_command(notebook, path)


def test_what_is_wrong_in_the_form_is_said_beside_its_box_and_loses_nothing(blank) -> None:
    notebook, _ = blank
    begun(notebook, Name="Tern", Bore_of_the_tube="9999", Wall="thin", Expected_peak_pressure="4")
    notebook.wait("() => probe.all('aside.leaf .said').filter((n) => n.textContent).length === 2")
    said = notebook.leaf.locator(".said").all_inner_texts()
    assert "must be 10 mm to 400 mm" in " ".join(said)
    focused = "() => probe.all('aside.leaf input').find((n) => n.matches(':focus'))?.name"
    assert notebook.page.evaluate(focused) == "case.bore"  # the first that is refused
    assert notebook.leaf.get_by_label("Wall").input_value() == "thin"
    assert notebook.leaf.get_by_label("Name").input_value() == "Tern"
    assert notebook.read()["name"] == "Tidewater"
