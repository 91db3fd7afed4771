"""Where the store of jobs lies unless somebody says otherwise: the folder the system keeps for a user's data."""

from collections.abc import Mapping
from pathlib import Path

FOLDER, FILE = "loombench", "jobs.sqlite"


def usual_place(system: str, environment: Mapping[str, str], home: Path) -> Path:
    """The store's file. `system` is as `sys.platform` has it.

    Windows: the local application data, which does not roam between machines as a data base must not. macOS: the
    library's application support. Elsewhere the XDG base directory specification 0.8: `XDG_DATA_HOME` where it is an
    absolute path, else `.local/share`.
    """
    if system == "win32":
        local = environment.get("LOCALAPPDATA", "")
        base = Path(local) if local else home / "AppData" / "Local"
    elif system == "darwin":
        base = home / "Library" / "Application Support"
    else:
        said = environment.get("XDG_DATA_HOME", "")
        base = Path(said) if said.startswith("/") else home / ".local" / "share"
    return base / FOLDER / FILE
