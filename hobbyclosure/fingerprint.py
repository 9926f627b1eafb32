"""A few figures by which a sheet of paper and a design are known to be of each other."""

import hashlib
import json
from typing import Any

import attrs

from hobbyclosure.design import Design
from hobbyclosure.fields import FIELDS


def fingerprint(design: Design) -> str:
    """Eight figures that change with any number of a design, whatever its file looks like."""

    def plain(x: Any) -> Any:
        return f"{x:.10g}" if isinstance(x, float) else x

    stated = {
        path: [plain(x) for x in (e.value, e.tol, e.measured, e.accuracy)]
        for path in FIELDS
        for e in [design[path]]
    }
    own = {
        key: attrs.asdict(row)
        for rows in (design.materials, design.compounds)
        for key, row in rows.items()
    }
    text = json.dumps([stated, own], sort_keys=True, default=str)
    found = hashlib.sha256(text.encode()).hexdigest()[:8]
    return f"{found[:4]} {found[4:]}"
