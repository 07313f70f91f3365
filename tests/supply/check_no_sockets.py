"""An assessment opens no socket: one that did would be ended by the system (seccomp), as a trial shows first."""
import ctypes
import platform
import signal
import struct
import subprocess
import sys
from pathlib import Path

ARCHITECTURES = {"x86_64": (0xC000003E, 41), "aarch64": (0xC00000B7, 198)}  # linux/audit.h, the number of socket(2)
PR_SET_NO_NEW_PRIVS, PR_SET_SECCOMP, SECCOMP_MODE_FILTER = 38, 22, 2
KILL, ALLOW = 0x80000000, 0x7FFF0000
LOAD, EQUAL, RETURN = 0x20, 0x15, 0x06  # BPF_LD|BPF_W|BPF_ABS, BPF_JMP|BPF_JEQ|BPF_K, BPF_RET|BPF_K


def without_sockets():
    architecture, socket_call = ARCHITECTURES[platform.machine()]
    steps = [(LOAD, 0, 0, 4), (EQUAL, 0, 3, architecture), (LOAD, 0, 0, 0), (EQUAL, 0, 1, socket_call),
             (RETURN, 0, 0, KILL), (RETURN, 0, 0, ALLOW)]
    program = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *step) for step in steps))
    head = struct.pack("HxxxxxxP", len(steps), ctypes.addressof(program))
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) or libc.prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, head, 0, 0):
        raise OSError(ctypes.get_errno(), "no seccomp")


def run(*command):
    return subprocess.run(command, preexec_fn=without_sockets, capture_output=True, text=True).returncode


program, survey, output = sys.argv[1], sys.argv[2], Path(sys.argv[3])
assert run(sys.executable, "-c", "import socket; socket.socket()") == -signal.SIGSYS, "the trial was not ended"
formats = "json,csv,html,pdf,xlsx,workorders"
ended = run(program, "assess", survey, "-o", output, "--format", formats, "--as-of", "2026-11-28")
assert ended in (0, 1), f"assess ended with {ended}"
assert (output / "report.html").stat().st_size > 0
ended = run(program, "recheck", output, "--survey", survey)
assert ended in (0, 1), f"recheck ended with {ended}"
print("assess and recheck opened no socket")
