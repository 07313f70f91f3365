"""What the compiler and the linker were asked for stands in the program and its parts, by readelf and objdump."""
import json
import re
import subprocess
import sys
from pathlib import Path


def said_by(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def was_asked_for(flag, binary):
    """Whether every source of the program, or of the part's room, was compiled with it. A part of a few functions may
    call none that FORTIFY guards, and reach most of its own by direct calls: it shows neither."""
    target = "program" if binary.suffix != ".so" else binary.stem.removeprefix("ohmglow-")
    commands = [entry["command"] for entry in json.loads((binary.parent / "compile_commands.json").read_text())]
    own = [command for command in commands if f"/ohmglow_{target}.dir/" in command]
    return bool(own) and all(flag in command.split() for command in own)


def faults_of(binary, source):
    header = said_by("readelf", "-hW", binary)
    segments = said_by("readelf", "-lW", binary)
    dynamic = said_by("readelf", "-dW", binary)
    called = set(re.findall(r" UND (\w+)", said_by("readelf", "-sW", "--dyn-syms", binary)))
    is_program = binary.suffix != ".so"
    faults = []

    def demand(holds, what):
        if not holds:
            faults.append(f"{binary}: {what}")

    demand("DYN" in header and (not is_program or "Flags: PIE" in dynamic.replace("NOW ", "")),
           "can lie at one address only")
    demand("GNU_RELRO" in segments and "BIND_NOW" in dynamic, "its table of calls stays writable: no full RELRO")
    stack = re.search(r"GNU_STACK.*", segments)
    demand(stack and "RWE" not in stack[0], "its stack may be executed")
    demand("RPATH" not in dynamic and "RUNPATH" not in dynamic, "looks for libraries where it was built")
    demand(not re.search(r"^ +LOAD .* RWE ", segments, re.MULTILINE), "a segment is both writable and executable")
    demand("TEXTREL" not in dynamic, "has relocations in its code")
    demand("__stack_chk_fail" in called, "was compiled without stack protector")
    demand(any(name.startswith("__") and name.endswith("_chk") for name in called)
           or was_asked_for("-D_FORTIFY_SOURCE=2", binary), "was compiled without FORTIFY")
    if "X86-64" in header:
        code = said_by("objdump", "-d", "--no-show-raw-insn", binary)
        functions = re.findall(r"^[0-9a-f]+ <_ZN7ohmglow\S*(?<!\.cold)>:\n +[0-9a-f]+:\t(\S+)", code, re.MULTILINE)
        landing = sum(first == "endbr64" for first in functions)
        # Those that only direct calls reach need no landing.
        demand(functions and landing > 0.5 * len(functions) or was_asked_for("-fcf-protection=full", binary),
               f"{landing} of {len(functions)} own functions begin with endbr64")
    demand(str(source).encode() not in binary.read_bytes(), f"holds the path {source}")
    return faults


source, *binaries = map(Path, sys.argv[1:])
found = [fault for binary in binaries for fault in faults_of(binary, source)]
print("\n".join(found) or f"{len(binaries)} binaries are as they were asked to be")
sys.exit(1 if found or not binaries else 0)
