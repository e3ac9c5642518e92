"""From a clone to a first check of one's own, by the commands that client/calling.md gives, in a fresh clone with an empty home folder.

    python newcomer.py REPOSITORY PROGRAM BASE_URL [LANGUAGE…]

The commands and files are taken from the page as they stand there. What a newcomer changes is changed: the liquid and the
temperature, since a check of one's own is not the example. `cargo run --release` is not built again: PROGRAM stands for it, and the
service at BASE_URL is the one that it starts. Crates come from the cargo folder of whoever runs this, so that times are those of a
machine that has fetched them before; npm fetches anew. A number of commands other than in the table of the page is a failure.
"""

import os
import re
import shlex
import subprocess
import sys
import tempfile
import time
import urllib.parse
from pathlib import Path

FENCE = re.compile(r"^```(\w+)(?: newcomer:(\w+))?\n(.*?)^```$", re.DOTALL | re.MULTILINE)
ADDRESS = "http://127.0.0.1:8080"
# The example is over its limit. Butan-1-ol flashes near 35 Cel (IEC 60079-20-1:2010, Annex B): 19 Cel is more than 5 K below.
OWN = {"ethanol": "butan-1-ol", "21 Cel": "19 Cel"}
EXPECTED = "Within the limit: butan-1-ol at 19 Cel"
# Of a language: its rows in the table, the blocks of commands before and after the file is saved, and the file.
FILES = {"python": "check.py", "rust": "src/main.rs", "typescript": "check.mts"}
ROWS = {
    "shell": "shell",
    "curl": "shell, asking the service",
    "python": "Python",
    "rust": "Rust",
    "typescript": "TypeScript",
    "spreadsheet": "spreadsheet",
}


def own(text: str) -> str:
    """The text with a liquid and a temperature of one's own."""
    for example, mine in OWN.items():
        text = text.replace(example, mine)
    return text


def commands(code: str) -> list[str]:
    """The commands of a block; one that goes on in the next line counts once."""
    lines = code.replace("\\\n", " ").splitlines()
    return [line.strip() for line in lines if line.strip() and not line.strip().startswith("#")]


class Page:
    """What client/calling.md gives."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.blocks = [found.groups() for found in FENCE.finditer(text)]

    def steps(self, name: str) -> list[str]:
        """The commands of all blocks of a newcomer's path."""
        return [one for _, path, code in self.blocks if path == name for one in commands(code)]

    def first(self, language: str) -> str:
        """The first example of a language."""
        return next(code for found, path, code in self.blocks if found == language and path is None)

    def counted(self, name: str) -> int:
        """How many commands the table says that a language takes."""
        row = re.search(rf"^\| {re.escape(ROWS[name])} \| (\d+) \|", self.text, re.MULTILINE)
        if row is None:
            sys.exit(f"newcomer: the table has no row for {ROWS[name]}")
        return int(row.group(1))

    def formula(self) -> str:
        """The address that the formula of a check asks, with the cells filled in."""
        found = re.search(r'=WEBSERVICE\((".*flash-point-margin.*)\)$', self.text, re.MULTILINE)
        if found is None:
            sys.exit("newcomer: the page has no formula that checks")
        cells = {"A2": OWN["ethanol"], "B2": OWN["21 Cel"].removesuffix(" Cel")}
        address = ""
        for literal, coded in re.findall(r'(?<!\()"([^"]*)"(?!\))|ENCODEURL\(([^)]*)\)', found.group(1)):
            parts = [cells.get(part.strip(), part.strip().strip('"') or " ") for part in coded.split("&")] if coded else []
            parts = [" Cel" if part == "Cel" else part for part in parts]
            address += urllib.parse.quote("".join(parts)) if coded else literal
        return address


def main() -> None:
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    repository, program, base_url = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve(), sys.argv[3]
    page = Page((repository / "client/calling.md").read_text())
    for name in sys.argv[4:] or ROWS:
        with tempfile.TemporaryDirectory(prefix="brimline-newcomer-") as folder:
            walked(page, name, Path(folder), repository, program, base_url)


def walked(page: Page, name: str, folder: Path, repository: Path, program: Path, base_url: str) -> None:
    """Goes the path of a language from the clone to the answer."""
    steps = page.steps("clone") + (page.steps("service") if name != "shell" else [])
    steps += [page.first("sh").replace("\\\n", " ")] if name == "curl" else page.steps(name)
    if len(steps) != page.counted(name):
        sys.exit(f"newcomer: {ROWS[name]}: {len(steps)} commands, not {page.counted(name)}: {steps}")
    (folder / "home").mkdir()
    cargo = Path(os.environ.get("CARGO_HOME", Path.home() / ".cargo"))
    rustup = Path(os.environ.get("RUSTUP_HOME", Path.home() / ".rustup"))
    environment = {
        "HOME": str(folder / "home"),
        "PATH": f"{cargo}/bin:/usr/local/bin:/usr/bin:/bin",
        "CARGO_HOME": str(cargo),
        "RUSTUP_HOME": str(rustup),
        "CARGO_TARGET_DIR": os.environ.get("NEWCOMER_TARGET_DIR", str(folder / "target")),
        "no_proxy": "127.0.0.1,localhost",
    }
    # Registries may be reached by settings of the machine.
    settings = ("npm_config_", "cargo_registries_", "cargo_source_", "ssl_cert", "node_extra")
    environment |= {key: value for key, value in os.environ.items() if key.lower().startswith(settings)}
    where, output, started = folder, "", time.monotonic()
    for step in steps:
        step = own(step.replace("ADDRESS", shlex.quote(str(repository)))).replace(ADDRESS, base_url)
        if step == "cargo run --release":
            continue
        step = step.replace("cargo run --release --", shlex.quote(str(program)))
        # The file is saved as soon as its folder is there, before the first command that reads it.
        if name in FILES and re.match(r"(python3|npx tsc|cargo run)\b", step):
            (where / FILES[name]).write_text(own(page.first(name)).replace(ADDRESS, base_url))
        if step.startswith("cd "):
            where = (where / step.removeprefix("cd ")).resolve()
            continue
        run = ["bash", "-euo", "pipefail", "-c", step]
        done = subprocess.run(run, cwd=where, env=environment, capture_output=True, text=True, timeout=900, check=False)
        if done.returncode != 0:
            sys.exit(f"newcomer: {ROWS[name]}: {step}\nended with {done.returncode}:\n{done.stdout}{done.stderr}")
        output = done.stdout
    if name == "spreadsheet":
        address = page.formula().replace(ADDRESS, base_url)
        asked = ["curl", "-sS", "--fail-with-body", address]
        output = subprocess.run(asked, env=environment, capture_output=True, text=True, timeout=60, check=True).stdout
    if EXPECTED not in " ".join(output.split()):
        sys.exit(f"newcomer: {ROWS[name]}: no check of one's own came:\n{output[:2000]}")
    said = "; the formulas were not run, their address was" if name == "spreadsheet" else ""
    print(f"{ROWS[name]}: {len(steps)} commands, {time.monotonic() - started:.0f} s{said}")


if __name__ == "__main__":
    main()
