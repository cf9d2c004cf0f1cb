"""From knowledge folders to one immutable Knowledge: read, check by schema, link, report every fault."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from sallow.errors import BadInput, Complaint, KnowledgeError
from sallow.knowledge.build import link
from sallow.knowledge.document import Document
from sallow.knowledge.files import knowledge_files, read_text
from sallow.knowledge.gather import Gathered, beside_entries, entries_in
from sallow.knowledge.model import Knowledge
from sallow.knowledge.shape import ShapeFault, faults, schema, tell
from sallow.knowledge.yaml_reader import read_yaml

__all__ = ["check_schema", "knowledge_files", "load", "read_folders", "read_text", "schema"]


def load(folders: Sequence[Path], with_cases: bool = False) -> Knowledge:
    """The knowledge of the shipped folder and any overlays after it; KnowledgeError with every complaint."""
    return load_linked(folders, with_cases)[1]


def load_linked(folders: Sequence[Path], with_cases: bool = False) -> tuple[Gathered, Knowledge]:
    """The gathered entries, each with its place in a file, and the knowledge; KnowledgeError with every complaint."""
    documents, complaints = read_folders(folders, with_cases)
    if complaints:
        raise KnowledgeError(sorted(complaints))
    found, knowledge = link(documents, version_of(documents), [str(folder) for folder in folders[1:]])
    complaints = [complaint for _, document in documents for complaint in document.complaints]
    if complaints:
        raise KnowledgeError(sorted(complaints))
    return found, knowledge


def read_folders(folders: Sequence[Path], with_cases: bool) -> tuple[list[tuple[str, Document]], list[Complaint]]:
    """Every document of the folders with its kind, and what the reader and the schemas complain of."""
    documents: list[tuple[str, Document]] = []
    complaints: list[Complaint] = []
    for layer, folder in enumerate(folders):
        if not folder.is_dir():
            raise BadInput(f"the knowledge folder {folder} is missing or cannot be read")
        files = knowledge_files(folder, with_cases)
        if not files:
            raise BadInput(f"the knowledge folder {folder} holds no knowledge files")
        for kind, path in files:
            shown = shown_name(path, folder, layer)
            try:
                document = read_yaml(read_text(path), shown)
            except BadInput as error:
                complaints.append(Complaint(shown, 1, 1, "unreadable", str(error)))
                continue
            document.layer = layer
            if not document.complaints:
                check_schema(document, kind)
            complaints += document.complaints
            documents.append((kind, document))
    return documents, complaints


def shown_name(path: Path, folder: Path, layer: int) -> str:
    """How a file is named in complaints: shipped files by their place in the knowledge folder, others by their path."""
    return str(Path(folder.name) / path.relative_to(folder)) if layer == 0 else str(path)


def version_of(documents: Iterable[tuple[str, Document]]) -> str:
    """A short name for what the documents say: the same for the same entries in the same layers, whatever the files and
    folders are called and however the entries are shared out among them."""
    parts: set[str] = set()
    for kind, document in documents:
        # Cases test the knowledge and are no part of it: with or without them it is the same version.
        if kind != "cases":
            entries = [(name, identifier, value) for name, identifier, _, value in entries_in(kind, document)]
            said = [*entries, (kind, "", beside_entries(kind, document))]
            parts |= {json.dumps([document.layer, *part], sort_keys=True, ensure_ascii=False) for part in said}
    return hashlib.sha256("\n".join(sorted(parts)).encode()).hexdigest()[:12]


@cache
def _validator(kind: str) -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator(schema(kind))


def check_schema(document: Document, kind: str) -> None:
    """Add a complaint to the document for everything its schema does not allow.

    The small checker lets sound files through fast; the library has the word on the others.
    """
    if next(faults(document.value, schema(kind)), None) is None:
        return
    for error in _validator(kind).iter_errors(document.value):
        fault = ShapeFault(
            tuple(error.absolute_path), error.validator, error.validator_value, error.schema, error.instance
        )
        tell(document, fault)
