"""Runs the examples of client/calling.md as they stand there against a running service.

    python calling.py DOCUMENT TYPESCRIPT_DIR BASE_URL

TYPESCRIPT_DIR holds tsconfig.json, the made types (brimline.d.ts) and node_modules. A language that is run needs its program;
what is said not to be run there (C#, formulas) is left alone.
"""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
# How many examples there are of each language: one that is lost, or a new one that nobody runs, is a failure.
EXPECTED = {"sh": 3, "python": 1, "typescript": 1, "php": 1, "csharp": 1, "rust": 1}


def command(language: str, code: str, work: Path, typescript: Path) -> list[str]:
    """Writes an example to a file of its own; the command that runs it."""
    if language == "sh":
        return ["bash", "-euo", "pipefail", "-c", code]
    if language == "typescript":
        (typescript / "calling.ts").write_text(code)
        subprocess.run([typescript / "node_modules/.bin/tsc", "--strict", "-p", typescript], check=True)
        return ["node", str(typescript / "calling.js")]
    program, ending = {"python": (sys.executable, "py"), "php": ("php", "php")}[language]
    file = work / f"calling.{ending}"
    file.write_text(code)
    return [program, str(file)]


def answered(code: str, output: str) -> bool:
    """Whether the output is the answer: a table of four temperatures, or that ethanol at 21 Cel is over its limit."""
    if "format=csv" in code:
        return [line.split(",")[0] for line in output.splitlines()[1:]] == ["15", "20", "25", "30"]
    return "over_limit" in output and "Over the limit: ethanol at 21 Cel" in output and "complete" in output


def ran(run: list[str], base_url: str) -> subprocess.CompletedProcess[str]:
    """What came of an example that asks the service at an address."""
    environment = os.environ | {"BRIMLINE": base_url}
    return subprocess.run(run, env=environment, capture_output=True, text=True, timeout=60, check=False)


def main() -> None:
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    document, typescript, base_url = Path(sys.argv[1]), Path(sys.argv[2]).resolve(), sys.argv[3]
    examples = [found.groups() for found in FENCE.finditer(document.read_text())]
    counts = {language: sum(one == language for one, _ in examples) for language in EXPECTED}
    if counts != EXPECTED:
        sys.exit(f"calling: the document has {counts}, not {EXPECTED}")
    with tempfile.TemporaryDirectory() as work:
        for language, code in examples:
            # C# is not run; Rust is, by newcomer.py.
            if language in ("csharp", "rust"):
                continue
            done = ran(command(language, code, Path(work), typescript), base_url)
            if done.returncode != 0 or not answered(code, done.stdout):
                sys.exit(f"calling: the {language} example ended with {done.returncode}:\n{done.stdout}{done.stderr}\n{code}")
            print(f"{language}: {done.stdout.splitlines()[-1][:100]}")
            # Water has no flash point: there is no margin to read.
            if language != "sh":
                done = ran(command(language, code.replace("ethanol", "water"), Path(work), typescript), base_url)
                if done.returncode != 0 or "NOT COMPLETE" not in done.stdout or done.stderr:
                    sys.exit(f"calling: the {language} example fails on a liquid without a margin:\n{done.stdout}{done.stderr}")


if __name__ == "__main__":
    main()
