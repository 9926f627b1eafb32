"""Design the forward closure of an amateur solid rocket motor: what lets go first, and when."""

from hobbyclosure.assess import Assessment
from hobbyclosure.design import Design, DesignError
from hobbyclosure.file import load, opened

__version__ = "0.1.0"
__all__ = ["Assessment", "Design", "DesignError", "load", "opened"]
