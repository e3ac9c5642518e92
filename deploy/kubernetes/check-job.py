"""Runs what a pod of the job runs, for each of its parts, here: the shell command of the first container and the arguments
of the second, from the file as it is, with folders of this machine in place of the mounted ones. The parts together must
hold the replies of the whole file in its order. Arguments: the program, a folder that may be written to."""

import json
import os
import pathlib
import subprocess
import sys

import yaml

program, work = sys.argv[1], pathlib.Path(sys.argv[2])
job = yaml.safe_load((pathlib.Path(__file__).parent / "batch" / "job.yaml").read_text())
spec = job["spec"]
pod = spec["template"]["spec"]
(share,), (answers,) = pod["initContainers"], pod["containers"]
parts = int(next(each["value"] for each in share["env"] if each["name"] == "PARTS"))
assert spec["completions"] == parts, "PARTS is not the number of completions"
mounts = {each["mountPath"] for each in answers["volumeMounts"]}
folders = {path: work / path.strip("/") for path in mounts}
for folder in folders.values():
    folder.mkdir(parents=True)


def here(text):
    for path, folder in folders.items():
        text = text.replace(path, str(folder)) if text.startswith(path) else text
    return text


liquids = ["ethanol", "propan-2-ol", "no such liquid", "heptane"]
asked = folders["/batch"] / "asked.ndjson"
with asked.open("w") as file:
    for ref in range(1001):
        request = {"liquid": liquids[ref % 4], "room_temperature": f"{10 + ref % 20} Cel"}
        file.write(json.dumps({"ref": ref, "question": "flash-point-margin", "request": request}) + "\n")


def run_pod(index):
    environment = {"PATH": os.environ["PATH"], "JOB_COMPLETION_INDEX": str(index)}
    environment |= {each["name"]: here(each["value"]) for each in share["env"]}
    subprocess.run(share["command"] + share["args"], env=environment, check=True)
    arguments = [here(each).replace("$(JOB_COMPLETION_INDEX)", str(index)) for each in answers["args"]]
    subprocess.run([program, *arguments], env=environment, check=True, stderr=subprocess.DEVNULL)


def replies(path):
    *lines, end = [json.loads(line) for line in path.read_text().splitlines()]
    assert end["end"] and end["lines"] == len(lines), f"{path}: {end}"
    return [{key: each for key, each in line.items() if key != "line"} for line in lines]


whole = work / "whole.ndjson"
subprocess.run([program, "ask", "batch", asked, "--output", whole], check=True, stderr=subprocess.DEVNULL)
for index in range(parts):
    run_pod(index)
files = [folders["/batch"] / f"answers-{index}.ndjson" for index in range(parts)]
together = [line for path in files for line in replies(path)]
assert together == replies(whole), "the parts are not the whole"

# A pod that was lost in the middle of a line, and one that was lost after its last.
text = files[3].read_bytes()
files[3].write_bytes(text[: len(text) * 2 // 3])
for index in (3, 5):
    run_pod(index)
assert [line for path in files for line in replies(path)] == together, "a pod started anew gives something else"
print(f"job: {parts} parts hold the {len(together)} replies of the whole, also after a pod was lost")
