"""The example of docs/library.md finds in the sample survey what its findings.json by the program holds."""
import json
import pathlib
import subprocess
import sys

consumer, program, sample, scratch = sys.argv[1:]
out = pathlib.Path(scratch) / "out"
subprocess.run([program, "assess", sample, "-o", out, "--format", "json"], stdout=subprocess.DEVNULL, check=False)
findings = json.loads((out / "findings.json").read_text())["findings"]
said = subprocess.run([consumer, sample], capture_output=True, text=True, check=True).stdout.splitlines()
wanted = [(str(f["rank"]), f["motor"], f["lug"] or "-", f["band"]) for f in findings]
got = [(words[0], words[1], words[2], words[4]) for words in (line.split() for line in said)]
nowhere = subprocess.run([consumer, "nowhere"], capture_output=True, text=True)
if nowhere.returncode != 3 or "nowhere" not in nowhere.stderr:
    sys.exit(f"a folder that is not there: {nowhere.returncode} {nowhere.stderr}")
if not wanted or wanted != got:
    sys.exit(f"the program found {wanted}, the example {got}")
print(f"{len(got)} findings, the same by both")
