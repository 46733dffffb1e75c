"""Records a drive for wainscot: wheel counts and lidar scans from serial lines go into a new folder.

    python3 logger.py my-drive /dev/ttyACM0                # controller and lidar on one serial line
    python3 logger.py my-drive /dev/ttyACM0 /dev/ttyUSB0   # or on several: each may send both kinds of lines

Ctrl-C ends the drive; write the robot's constants into my-drive/robot.yaml then. A line is either of
    W 1234 -567        counts of the left and the right wheel since power-up, forward positive; about 50 times a second
    S 1503 1498 0 ...  one turn of the lidar: BEAMS ranges in millimetres, counter-clockwise, the first one straight
                       ahead, 0 where nothing answered; about 5 to 10 times a second

CAUTION. Check the wheels' direction and the stop switch with the wheels lifted; then drive slowly, stop at hand, people
and pets away, and let no motor stall against a wall. A 2D lidar sees one plane only (no stairs going down, table tops,
glass, low things): nothing here keeps a robot from falling or from hitting someone. Heed the laser's class (IEC
60825-1) and the battery maker's instructions; local codes and qualified practice come first.
"""

import os
import re
import select
import signal
import sys
import termios
import time

SPEED = termios.B115200
BEAMS = 360  # ranges in a turn of the lidar
LONGEST_LINE = 20 * BEAMS + 100  # bytes; what is longer is no line
ROBOT_YAML = """\
@ROBOT_YAML@"""

stopping = False


def stop(*_):
    global stopping
    stopping = True


def say(text):
    try:
        print("logger:", text, file=sys.stderr, flush=True)
    except OSError:
        pass  # the terminal is gone; the drive goes on


class Drive:
    """The folder: NAME, or NAME-2, NAME-3 ... where there is one already."""

    def __init__(self, name):
        self.name, number = name, 1
        while os.path.lexists(self.name):
            number += 1
            self.name = f"{name}-{number}"
        os.makedirs(self.name)
        with open(self.name + "/robot.yaml", "x") as file:
            file.write(ROBOT_YAML)
        self.wheels = open(self.name + "/wheels.csv", "x")
        self.scans = open(self.name + "/scans.csv", "x")
        self.wheels.write("time_s,left_ticks,right_ticks\n")
        self.scans.write("time_s," + ",".join(f"{i * 360 / BEAMS:g}" for i in range(BEAMS)) + "\n")
        self.rows = self.turns = self.skipped = 0

    def take(self, line, time_s):
        """Writes the row of a line whose first byte arrived at time_s, or counts it as skipped."""
        kind, *words = line.split() or [b""]
        numbers = [int(word) for word in words if re.fullmatch(rb"-?\d{1,15}", word)]
        if kind == b"W" and len(words) == len(numbers) == 2:
            self.wheels.write(f"{time_s:.4f},{numbers[0]},{numbers[1]}\n")
            self.rows += 1
        # ---- YOUR LIDAR ---------------------------------------------------------------------------------------------
        # A lidar that sends packets of its own needs its driver here: open its line as a Port of another kind, whose
        # read() puts the packets' bytes together, and once a turn write a row as below: the time when the turn began
        # to arrive, then BEAMS ranges. (Clockwise? Its first beam not ahead? robot.yaml: mirrored, heading_deg.)
        elif kind == b"S" and len(words) == len(numbers) == BEAMS and 0 <= min(numbers) <= max(numbers) <= 100_000:
            self.scans.write(f"{time_s:.4f}," + ",".join(f"{mm / 1000:.3f}" for mm in numbers) + "\n")
            self.turns += 1
        # -------------------------------------------------------------------------------------------------------------
        else:
            self.skipped += 1

    def flush(self):
        self.wheels.flush()
        self.scans.flush()

    def account(self):
        return f"{self.name}: {self.rows} rows of counts, {self.turns} scans, {self.skipped} lines skipped"


class Port:
    """A serial line, opened again and again while its plug is pulled."""

    def __init__(self, path, drive):
        self.path, self.drive, self.handle, self.said = path, drive, None, False
        self.open()

    def open(self):
        try:
            self.handle = os.open(self.path, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
            mode = [0, 0, termios.CS8 | termios.CREAD | termios.CLOCAL, 0, SPEED, SPEED,
                    termios.tcgetattr(self.handle)[6]]
            termios.tcsetattr(self.handle, termios.TCSANOW, mode)  # raw bytes, 8 bits, no parity
            termios.tcflush(self.handle, termios.TCIFLUSH)  # old lines would get wrong times
            self.rest, self.since = b"", 0.0
            self.said = False
            say(f"{self.path}: open")
        except (OSError, termios.error) as error:
            self.close(error.args[1])

    def close(self, why):
        if self.handle is not None:
            os.close(self.handle)
            self.handle = None
        if not self.said:  # once, not at each try
            say(f"{self.path}: {why}; trying again until it is there")
        self.said = True

    def read(self, now):
        """Takes what has arrived. A line is stamped when its first byte arrives, so long lines are not late."""
        try:
            data = os.read(self.handle, 65536)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        if not data:
            self.drive.skipped += bool(self.rest)
            return self.close("the plug was pulled")
        self.since = self.since if self.rest else now
        *lines, self.rest = (self.rest + data).split(b"\n")
        for line in lines:
            self.drive.take(line, self.since)
            self.since = now
        if len(self.rest) > LONGEST_LINE:
            self.rest = b"?"  # what is left of it will be skipped


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, stop)
    drive = Drive(sys.argv[1])
    say(f"writing {drive.name}; Ctrl-C ends the drive")
    ports = [Port(path, drive) for path in sys.argv[2:]]
    flushed = told = time.monotonic()
    while not stopping:
        open_ports = {port.handle: port for port in ports if port.handle is not None}
        ready, _, _ = select.select(list(open_ports), [], [], 0.5)  # sleeps until bytes arrive, half a second at most
        now = time.monotonic()
        for handle in ready:
            open_ports[handle].read(now)
        if now - flushed >= 0.5:
            drive.flush()
            flushed = now
            for port in ports:
                if port.handle is None:
                    port.open()
        if now - told >= 10:
            say(drive.account())
            told = now
    drive.flush()
    os.fsync(drive.wheels.fileno())  # on the disk: now the power may go
    os.fsync(drive.scans.fileno())
    say(drive.account())


if __name__ == "__main__":
    try:
        main()
    except OSError as error:
        sys.exit(f"logger: {error}")
