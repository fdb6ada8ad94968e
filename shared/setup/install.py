"""Install what a hashed lock names, saying how far it is: install.py LOCK."""

import subprocess
import sys

# Python compiles what is used when it is used: compiling all of it beforehand takes 120 MB.
PIP = [sys.executable, "-m", "pip", "install", "--no-compile", "--disable-pip-version-check"]


def main(lock: str) -> int:
    say(f"Installing from {lock}; the first time takes a minute.")
    pip = subprocess.Popen(  # noqa: S603 (our own command)
        [*PIP, "--progress-bar", "off", "--require-hashes", "-r", lock],
        stdout=subprocess.PIPE,
        text=True,
    )
    fetched = 0
    for line in pip.stdout or ():
        if line.startswith("Collecting "):
            fetched += 1
            if fetched % 10 == 0:
                say(f"  {fetched} packages found …")
        elif line.startswith("Installing collected packages"):
            say("  Unpacking them …")
    return pip.wait()


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
