"""The door to the knowledge for commands: shipped files, the person's own folder, folders named in the command."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sallow.environment import Environment
from sallow.errors import BadInput
from sallow.knowledge.files import knowledge_files
from sallow.knowledge.locate import shipped_folder
from sallow.knowledge.model import Knowledge


def folders_for(environment: Environment, extra: Sequence[str] = ()) -> list[Path]:
    """The knowledge folders in the order they are laid over one another."""
    folders = [shipped_folder("knowledge")]
    own = environment.user_knowledge
    if own is not None and own.is_dir() and knowledge_files(own, with_cases=True):
        folders.append(own)
    for name in extra:
        folder = Path(name)
        if not folder.is_dir():
            raise BadInput(f"the knowledge folder {name} is missing; give a folder laid out like the shipped one")
        folders.append(folder)
    return folders


def open_knowledge(environment: Environment, extra: Sequence[str] = (), with_cases: bool = False) -> Knowledge:
    """The knowledge, from the compiled form when that is fresh; KnowledgeError with every complaint otherwise.

    The causes' typical looks and near misses are there only ``with_cases``.
    """
    return open_folders(environment, folders_for(environment, extra), with_cases)


def open_folders(environment: Environment, folders: Sequence[Path], with_cases: bool = False) -> Knowledge:
    """The knowledge of these folders as they lie over one another, from the compiled form when that is fresh."""
    from sallow.knowledge.compiled import StoredLines, open_compiled
    from sallow.reasoning.stored import stored_reader

    def from_files() -> Knowledge:
        from sallow.knowledge.load import load

        return load(folders, with_cases)

    def storing() -> StoredLines:
        from sallow.reasoning.stored import stored_lines

        return stored_lines

    if environment.cache_folder is None:
        from sallow.reasoning.stored import remembering
        from sallow.values import replace

        knowledge = from_files()
        return replace(knowledge, stored=remembering(knowledge))
    return open_compiled(environment.cache_folder, folders, with_cases, from_files, storing, stored_reader)
