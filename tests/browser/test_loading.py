"""How the page comes: what its scripts are, and that nothing of it is done over."""

from tests.browser.notebook import Notebook

SCRIPTS = """() => [...Bokeh.documents[0]._all_models.values()]
  .filter((model) => model.esm)
  .map((model) => [model.class_name, model.bundle, model.compiled === model.esm])"""


def test_scripts_are_run_as_they_were_written(notebook: Notebook) -> None:
    """Panel would rewrite each as TypeScript, which took longer than all the rest of the page."""
    found = notebook.page.evaluate(SCRIPTS)
    assert len(found) >= 13
    assert all(as_written for _, _, as_written in found)
    kinds = {kind for kind, _, _ in found}
    assert len({(kind, key) for kind, key, _ in found}) == len({key for _, key, _ in found})
    assert len({key for _, key, _ in found}) == len(kinds)  # one script a kind, shared by its views
