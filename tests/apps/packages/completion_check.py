"""Completion as it is typed: bash and zsh at a terminal of their own, asked with the Tab key.

  completion_check.py FOLDER     with bash/wainscot and zsh/_wainscot; zsh is left out where it is not installed"""

import os
import pathlib
import pty
import re
import select
import shutil
import sys
import tempfile
import time

made = pathlib.Path(sys.argv[1]).resolve()
patience_s = 60.0  # before a shell that does not answer counts as wrong, on a busy machine


class Shell:
    """An interactive shell in `home`, with a line of its own typed after each prompt."""

    def __init__(self, command, home, environment):
        self.process, self.terminal = pty.fork()
        if self.process == 0:
            os.chdir(home)
            os.execvpe(command[0], command, environment)
        self.seen = ""

    def read_until(self, pattern):
        end = time.monotonic() + patience_s
        while not re.search(pattern, self.seen):
            if time.monotonic() > end:
                sys.exit(f"completion_check.py: no {pattern!r} in {self.seen!r}")
            if select.select([self.terminal], [], [], 0.1)[0]:
                try:
                    self.seen += os.read(self.terminal, 65536).decode("utf-8", "replace")
                except OSError:
                    sys.exit(f"completion_check.py: the shell ended: {self.seen!r}")

    def type(self, text):
        self.seen = ""
        os.write(self.terminal, text.encode())

    def completes(self, typed, whole):
        """Tab after `typed` makes it `whole`: told by a command that prints its arguments, wainscot being its name."""
        self.type(typed + "\t")
        time.sleep(0.5)
        os.write(self.terminal, b"\r")
        self.read_until("said=.*=end")
        told = re.search("said=(.*?)=end", self.seen).group(1)
        if told != whole:
            sys.exit(f"completion_check.py: {typed!r} became {told!r}, not {whole!r}")

    def stop(self):
        os.close(self.terminal)
        os.waitpid(self.process, 0)


# What is typed before Tab, and what the program is then given.
cases = [
    ("wainscot bui", "build"),
    ("wainscot build my", "build|my drive/"),
    ("wainscot build my\\ drive/ --cell", "build|my drive/|--cell-size"),
    ("wainscot build --tapes ta", "build|--tapes|tapes.csv"),
    ("wainscot build --tapes=ta", "build|--tapes=tapes.csv"),
    ("wainscot export --image t", "export|--image|tif"),
    ("wainscot help ext", "help|extend"),
]

with tempfile.TemporaryDirectory() as name:
    home = pathlib.Path(name)
    (home / "my drive").mkdir()
    (home / "tapes.csv").write_text("")
    tell = "wainscot() { local IFS='|'; echo \"said=$*=end\"; }\n"
    environment = {"PATH": os.environ["PATH"], "HOME": name, "TERM": "dumb", "LC_ALL": "C.UTF-8", "ZDOTDIR": name}
    shells = [["bash", "--noprofile", "--rcfile", str(home / "bashrc"), "-i"]]
    (home / "bashrc").write_text(f"PS1='ready> '\nbind 'set enable-bracketed-paste off'\n{tell}source '{made}/bash/wainscot'\n")
    if shutil.which("zsh"):
        (home / ".zshrc").write_text(
            f"PS1='ready> '\nunset zle_bracketed_paste\nunsetopt auto_remove_slash\nfpath=('{made}/zsh' $fpath)\n"
            f"autoload -Uz compinit\ncompinit -u -D\n{tell}"
        )
        shells.append(["zsh", "-d", "-i"])
    for command in shells:
        shell = Shell(command, name, environment)
        shell.read_until("ready> ")
        for typed, whole in cases:
            shell.completes(typed, whole)
        shell.stop()
        print(f"{command[0]}: {len(cases)} lines completed")
