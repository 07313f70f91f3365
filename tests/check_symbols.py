"""The library never prints, exits or reads the environment: none of these symbols is called from it."""
import re
import subprocess
import sys

FORBIDDEN = re.compile(r" U (exit|_exit|quick_exit|abort|getenv|secure_getenv|setenv|printf|puts|putchar|perror|system|popen"
                       r"|vprintf|__printf_chk|_ZSt4cout|_ZSt4cerr|_ZSt4clog|stdout|stderr|time|localtime_r|gmtime)(@|$)")

nm, library = sys.argv[1:]
symbols = subprocess.run([nm, "--undefined-only", library], capture_output=True, text=True, check=True).stdout
member = ""
members = 0
found = []
for line in symbols.splitlines():
    if line.endswith(":"):
        member = line
        members += 1
    elif FORBIDDEN.search(line):
        found.append(member + line)
print("\n".join(found) or f"{members} members, none of them talks, ends the program or asks the environment")
sys.exit(1 if found or not members else 0)
