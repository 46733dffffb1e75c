#!/usr/bin/env python3
"""What `wainscot batch` costs, and whether it gives the maps that `wainscot build` gives, also where its workers are killed.

  build/tests/bench/batch [--drives 500] [--only parallel,slurm,kill,overview] [--keep]

Simulates short drives, maps them one after another by `wainscot build --threads 1`, and then

  parallel  by `wainscot batch` with GNU parallel on --jobs cores: time, and every file of every map byte by byte;
  slurm     the same by a Slurm of its own, which is started here (munged, slurmctld, slurmd; nothing of the machine's own
            Slurm is touched) and stopped in the end;
  kill      both once more with drives that are broken among the others, while workers, the engine and the command itself are
            killed at random; then the same command again until all is done: the same bytes, and nothing else left;
  overview  of --maps maps, hard links of those made: seconds, memory, bytes of the page.

  reckon    (only where asked for) what tests/bench/MILLION.md reckons with: bytes and files of drives and maps, and what
            GNU parallel and Slurm's controller take for very many jobs.

efficiency = (seconds one after another) / (cores x seconds of the batch)
overhead   = (cores x seconds of the batch - seconds one after another) / drives: all that was paid for beyond the builds, also
             what two at a time cost each other
of its own = (cores x (seconds of the batch - seconds of the same builds by so many bare loops)) / drives
in processor time = (processor time of the batch and all that it started - that of the builds in bare loops) / drives

Ends with 1 where bytes differ, something is left over, or an answer is wrong; goals of speed are printed beside the figures.
"""
import argparse
import contextlib
import csv
import ctypes
import filecmp
import hashlib
import json
import os
import pwd
import random
import re
import shutil
import signal
import socket
import stat
import subprocess
import sys
import tempfile
import threading
import time

HERE = os.path.dirname(os.path.abspath(__file__))
PARTS = ("parallel", "slurm", "kill", "overview", "reckon")
MARK = "WAINSCOT_BATCH_BENCH"  # in the environment of all that is started here, by which it is found again
FIRST_HOUSE = 20901
HOUSES = 25
SECONDS_OUT = 7.0  # of driving at the robot's own speed, and the same way back

figures = []  # (what, value, goal)
faults = []


def tell(text):
    print(text, flush=True)


def figure(what, value, goal=""):
    figures.append((what, value, goal))
    tell(f"  {what}: {value}" + (f" (goal {goal})" if goal else ""))


def fault(text):
    faults.append(text)
    tell(f"  WRONG: {text}")


class Ended(Exception):
    """By Ctrl-C or a signal."""


def end_by_signal(number, _):
    raise Ended(f"ended by signal {number}")


# ---- running programs


def die_with_parent():
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # PR_SET_PDEATHSIG


class Run:
    """A program that runs, with its words in files and what it used, its waited-for children included."""

    def __init__(self, words, said, **options):
        self.out_name, self.err_name = said + ".out", said + ".err"
        self.words = words
        self.begun = time.time()
        with open(self.out_name, "w") as out, open(self.err_name, "w") as err:
            self.process = subprocess.Popen(words, stdin=subprocess.DEVNULL, stdout=out, stderr=err, **options)
        self.status = None

    def poll(self):
        if self.status is None:
            pid, status, used = os.wait4(self.process.pid, os.WNOHANG)
            if pid:
                self.note(status, used)
        return self.status

    def wait(self):
        if self.status is None:
            _, status, used = os.wait4(self.process.pid, 0)
            self.note(status, used)
        return self

    def note(self, status, used):
        self.ended = time.time()
        self.seconds = self.ended - self.begun
        self.processor_s = used.ru_utime + used.ru_stime
        self.memory_mb = used.ru_maxrss / 1024
        self.status = self.process.returncode = os.waitstatus_to_exitcode(status)

    def said(self):
        return open(self.out_name, errors="replace").read() + open(self.err_name, errors="replace").read()


def ran(words, said, **options):
    return Run(words, said, **options).wait()


def read_bytes(path):
    try:
        with open(path, "rb") as file:
            return file.read()
    except OSError:
        return b""


def marked_processes(mark, name=None):
    """Process numbers of all that was started with this mark in its environment, but this one."""
    found = []
    for entry in os.listdir("/proc"):
        if not entry.isdigit() or int(entry) == os.getpid():
            continue
        if mark.encode() in read_bytes(f"/proc/{entry}/environ"):
            if name is None or read_bytes(f"/proc/{entry}/comm").strip() == name.encode():
                found.append(int(entry))
    return found


def parent_of(pid):
    found = re.search(rb"\) \S (\d+)", read_bytes(f"/proc/{pid}/stat"))
    return int(found.group(1)) if found else 0


def family(pid):
    """A process and all below it."""
    parents = {int(entry): parent_of(entry) for entry in os.listdir("/proc") if entry.isdigit()}
    found = [pid]
    for one in found:
        found += [child for child, parent in parents.items() if parent == one and child not in found]
    return found


def kill(pid, number=signal.SIGKILL):
    try:
        os.kill(pid, number)
        return True
    except ProcessLookupError:
        return False


def wait_until(what, condition, seconds):
    until = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > until:
            raise RuntimeError(f"{what}: not within {seconds} s")
        time.sleep(0.05)


# ---- a Slurm of its own


class Slurm:
    """munged, slurmctld and slurmd of this user on this machine, with all that they keep in one folder."""

    def __init__(self, folder, cores, max_array=1001, max_jobs=10000, cpus=0):
        self.folder, self.processes = folder, {}
        for name in ("", "state", "spool", "log"):
            os.makedirs(os.path.join(folder, name), mode=0o755, exist_ok=True)
        with contextlib.ExitStack() as held:  # two ports that nobody has
            ports = [held.enter_context(socket.socket()) for _ in range(2)]
            for port in ports:
                port.bind(("127.0.0.1", 0))
            controller_port, node_port = (port.getsockname()[1] for port in ports)
        key = os.open(os.path.join(folder, "key"), os.O_WRONLY | os.O_CREAT, 0o400)
        os.write(key, os.urandom(1024))
        os.close(key)
        user, host = pwd.getpwuid(os.getuid()).pw_name, socket.gethostname().split(".")[0]
        memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") // 2**20
        # Epilog: with one, a node tells the controller by itself that a job has ended, whereupon the next begins at once;
        # without, the controller hears of it when it asks, and begins the next at its next round, up to a second later.
        # cred_expire: what a node that went down had, begins again so many seconds later.
        with open(os.path.join(folder, "slurm.conf"), "w") as file:
            file.write(f"""ClusterName=bench
SlurmctldHost={host}(127.0.0.1)
SlurmctldPort={controller_port}
SlurmdPort={node_port}
AuthType=auth/munge
AuthInfo=socket={folder}/munge.socket,cred_expire=5
BatchStartTimeout=5
CredType=cred/munge
SlurmUser={user}
SlurmdUser={user}
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool
SlurmctldPidFile={folder}/slurmctld.pid
SlurmdPidFile={folder}/slurmd.pid
SlurmctldLogFile={folder}/log/slurmctld.log
SlurmdLogFile={folder}/log/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
JobCompType=jobcomp/none
MpiDefault=none
SwitchType=switch/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core_Memory
DefMemPerCPU=500
SchedulerType=sched/backfill
SchedulerParameters=bf_interval=1,batch_sched_delay=0,sched_interval=1
Epilog=/bin/true
KillWait=2
ReturnToService=2
MailProg=/bin/true
MaxArraySize={max_array}
MaxJobCount={max_jobs}
SlurmdParameters=config_overrides
NodeName={host} NodeAddr=127.0.0.1 CPUs={cpus or cores} RealMemory={memory - 256} State=UNKNOWN
PartitionName=bench Nodes=ALL Default=YES MaxTime=INFINITE State=UP
""")
        self.environment = dict(os.environ, SLURM_CONF=os.path.join(folder, "slurm.conf"))

    def start(self, name):
        words = {
            "munged": ["munged", "--foreground", f"--socket={self.folder}/munge.socket", f"--key-file={self.folder}/key",
                       f"--log-file={self.folder}/log/munged.log", f"--pid-file={self.folder}/munged.pid",
                       f"--seed-file={self.folder}/munged.seed"],
            "slurmctld": ["slurmctld", "-D"],
            "slurmd": ["slurmd", "-D"],
        }[name]
        found = shutil.which(words[0], path=os.environ.get("PATH", "") + ":/usr/sbin:/sbin")
        if not found:
            raise RuntimeError(f"{words[0]} is not installed (Debian: slurm-wlm, munge); --only leaves this part out")
        self.processes[name] = Run([found] + words[1:], f"{self.folder}/log/{name}", env=self.environment,
                                   start_new_session=True, preexec_fn=die_with_parent)

    def ask(self, *words):
        return subprocess.run(words, env=self.environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
                              timeout=60).stdout

    def has_ended(self, name):
        """Whether it has, which is an error wherever this is asked."""
        process = self.processes[name]
        if process.poll() is not None:
            raise RuntimeError(f"{name} ended with {process.status}: {process.said()[-2000:]}")
        return False

    def await_node(self):
        def up():
            for name in self.processes:
                self.has_ended(name)
            return re.search(r"State=(IDLE|MIXED|ALLOCATED)\b(?!\*)", self.ask("scontrol", "show", "node"))
        wait_until("Slurm's node", up, 60)

    def begin(self):
        self.start("munged")
        wait_until("munged's socket", lambda: os.path.exists(f"{self.folder}/munge.socket") or self.has_ended("munged"), 20)
        self.start("slurmctld")
        self.start("slurmd")
        self.await_node()

    def queue(self, *more):
        return self.ask("squeue", "-h", *more).split()

    def await_queue(self, seconds=600):
        wait_until("Slurm's queue", lambda: not self.queue("-o", "%A"), seconds)

    def stop(self, name, number=signal.SIGTERM):
        process = self.processes.pop(name, None)
        if process is None or process.poll() is not None:
            return
        kill(process.process.pid, number)
        try:
            wait_until(name, lambda: process.poll() is not None, 15)
        except RuntimeError:
            kill(process.process.pid)
            process.wait()

    def end(self):
        """All of it, and the jobs that still run, by their numbers."""
        with contextlib.suppress(OSError, subprocess.SubprocessError):
            if "slurmctld" in self.processes:
                self.ask("scancel", "-u", str(os.getuid()))
        for name in ("slurmd", "slurmctld", "munged"):
            self.stop(name)
        for pid in marked_processes(f"SLURM_CONF={self.folder}/slurm.conf"):
            kill(pid)


@contextlib.contextmanager
def slurm(folder, cores, **options):
    made = Slurm(folder, cores, **options)
    try:
        made.begin()
        yield made
    finally:
        made.end()


# ---- drives


def cut_plan(text, skip):
    """A plan whose route is SECONDS_OUT of the way from its point `skip` on, and the same points back."""
    begin, end = text.index("route:\n") + len("route:\n"), text.index("robot:\n")
    points = [tuple(map(float, re.search(r"\[([-\d.e]+), ([-\d.e]+)\]", line).groups()))
              for line in text[begin:end].splitlines()]
    way = SECONDS_OUT * float(re.search(r"^  speed_m_s: ([\d.]+)", text, re.M).group(1))
    points = points[skip % max(1, len(points) - 6):]
    route, left = points[:1], way
    for a, b in zip(points, points[1:]):
        length = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
        if length >= left:
            route.append((a[0] + (b[0] - a[0]) * left / length, a[1] + (b[1] - a[1]) * left / length))
            break
        route.append(b)
        left -= length
    route += route[-2::-1]
    return text[:begin] + "".join(f"  - [{x:.4f}, {y:.4f}]\n" for x, y in route) + text[end:]


def at_once(jobs, workers):
    """Calls all of `jobs`, so many at a time."""
    jobs, lock, wrong = iter(jobs), threading.Lock(), []

    def work():
        while not wrong:
            with lock:
                job = next(jobs, None)
            if job is None:
                return
            try:
                job()
            except Exception as error:  # told below, in the thread that can end the bench
                wrong.append(error)
    threads = [threading.Thread(target=work) for _ in range(workers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if wrong:
        raise wrong[0]


def quiet(words):
    done = subprocess.run(words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(words)} ended with {done.returncode}: {done.stdout}")


def motion_table(bench, name):
    return next(table for table in ("wheels.csv", "odometry.csv") if os.path.exists(os.path.join(bench.list, name, table)))


def simulate(bench):
    plans = []
    for house in range(FIRST_HOUSE, FIRST_HOUSE + min(HOUSES, bench.drives)):
        file = os.path.join(bench.work, f"plan{house}.yaml")
        quiet([bench.program, "simulate", "--random-house", str(house), "--calibrated", "--write-plan", file])
        plans.append((house, open(file).read()))
    os.mkdir(bench.list)

    def one(number):
        house, text = plans[number % len(plans)]
        name = f"{house}-{number // len(plans):03d}"
        file = os.path.join(bench.work, f"cut{name}.yaml")
        with open(file, "w") as plan:
            plan.write(cut_plan(text, 5 * (number // len(plans))))
        quiet([bench.program, "simulate", file, "--calibrated", "--seed", str(number + 1),
               "--out", os.path.join(bench.list, name)])
        os.remove(file)
        return name
    at_once([lambda number=number: one(number) for number in range(bench.drives)], bench.cores)
    bench.names = sorted(os.listdir(bench.list))
    seconds = []
    for name in bench.names:
        lines = read_bytes(os.path.join(bench.list, name, motion_table(bench, name))).splitlines()
        seconds.append(float(lines[-1].split(b",")[0]) - float(lines[1].split(b",")[0]))
    figure("drives, simulated", len(bench.names))
    figure("seconds of driving each, median", f"{sorted(seconds)[len(seconds) // 2]:.0f}")


def broken_drives(bench):
    """Drives that cannot be mapped: name, and what is wrong."""
    base = os.path.join(bench.list, bench.names[0])
    made = os.path.join(bench.work, "broken")
    noise = random.Random(7).randbytes(20000)
    motion = motion_table(bench, bench.names[0])
    for name, file, content in (("broken-table", motion, noise), ("broken-scans", "scans.csv", None),
                                ("empty-scans", "scans.csv", b""), ("broken-robot", "robot.yaml", b"wainscot_robot: [1\n")):
        shutil.copytree(base, os.path.join(made, name))
        path = os.path.join(made, name, file)
        if content is None:  # nothing but the header
            content = read_bytes(path).split(b"\n")[0] + b"\n"
        with open(path, "wb") as out:
            out.write(content)
    return {name: os.path.join(made, name) for name in sorted(os.listdir(made))}


def build_one(bench, drive, to):
    os.makedirs(to)
    return ran([bench.program, "build", drive, "--out", os.path.join(to, "map"), "--threads", "1"], os.path.join(to, "said"))


def reference(bench):
    tell("One after another, wainscot build --threads 1")
    begun = time.monotonic()
    bench.alone_processor_s, bench.alone, memory = 0.0, {}, 0.0
    for name in bench.names:
        run = build_one(bench, os.path.join(bench.list, name), os.path.join(bench.one, name))
        bench.alone[name] = run.status
        bench.alone_processor_s += run.processor_s
        memory = max(memory, run.memory_mb)
        if not os.path.isdir(os.path.join(bench.one, name, "map")):
            raise RuntimeError(f"{name} gave no map: {run.said()}")
    bench.alone_s = time.monotonic() - begun
    figure("one after another, s", f"{bench.alone_s:.1f}")
    figure("  of a drive, s", f"{bench.alone_s / len(bench.names):.3f}")
    figure("  processor time of a drive, s", f"{bench.alone_processor_s / len(bench.names):.3f}")
    figure("  memory of a build, MB at most", f"{memory:.0f}")


def bare_loops(bench):
    """The same builds by as many loops as there are cores: what this machine gives of two at a time."""
    folder = os.path.join(bench.work, "loops")
    begun, runs = time.monotonic(), []
    at_once([lambda name=name: runs.append(build_one(bench, os.path.join(bench.list, name), os.path.join(folder, name)))
             for name in bench.names], bench.cores)
    bench.loops_s = time.monotonic() - begun
    bench.loops_processor_s = sum(run.processor_s for run in runs)
    shutil.rmtree(folder)
    figure(f"{bench.cores} bare loops, one a core, s", f"{bench.loops_s:.1f}")
    figure("  efficiency that the machine gives to them", f"{bench.alone_s / (bench.cores * bench.loops_s):.3f}")
    figure("  processor time of a drive in them, s", f"{bench.loops_processor_s / len(bench.names):.3f}")


# ---- comparing


def tree(folder):
    found = set()
    for parent, folders, files in os.walk(folder):
        found |= {os.path.relpath(os.path.join(parent, name), folder) for name in folders + files}
    return found


def compare_maps(folder, references, what):
    """Every file of every map; gives how many files were compared."""
    files = 0
    for name, reference_map in references.items():
        made = os.path.join(folder, name, "map")
        one, other = tree(reference_map), tree(made)
        if one != other:
            fault(f"{what}: {name}/map has other files: {sorted(one ^ other)}")
            continue
        for file in sorted(one):
            files += 1
            if not filecmp.cmp(os.path.join(reference_map, file), os.path.join(made, file), False):
                fault(f"{what}: {name}/map/{file} has other bytes")
    return files


def records(folder):
    """name: record, of all drives that have one; a record that cannot be read is none."""
    found = {}
    for name in os.listdir(folder):
        try:
            with open(os.path.join(folder, name, "job.json")) as file:
                found[name] = json.load(file)
        except (FileNotFoundError, NotADirectoryError):
            pass
        except ValueError:
            fault(f"{folder}: {name}/job.json is not whole")
    return found


def check_records(folder, statuses, what):
    found = records(folder)
    if set(found) != set(statuses):
        fault(f"{what}: job.json of {sorted(set(found) ^ set(statuses))[:9]} too many or missing")
    for name, record in found.items():
        if record.get("status") != statuses.get(name):
            fault(f"{what}: {name}/job.json says status {record.get('status')}, build ended with {statuses.get(name)}")


def check_results(folder, names, what):
    path = os.path.join(folder, "results.csv")
    if not os.path.exists(path):
        fault(f"{what}: no results.csv")
        return
    with open(path, newline="") as file:
        rows = list(csv.reader(line for line in file if not line.startswith("#")))
    told = [row[0] for row in rows[1:]]
    if sorted(told) != sorted(names):
        fault(f"{what}: results.csv has {len(told)} rows for {len(names)} drives, or other names")


def check_left_over(folder, names, what):
    """Nothing in the folder but what a drive's job leaves, and nothing that is half written."""
    allowed = {"map", "job.json", "said.txt"}
    for name in os.listdir(folder):
        if name in names:
            for inner in os.listdir(os.path.join(folder, name)):
                if inner not in allowed:
                    fault(f"{what}: {name}/{inner} was left over")
        elif not name.startswith(".") and name != "results.csv":
            fault(f"{what}: {name} was left over")
    for path in tree(folder):
        if ".writing-" in path or re.search(r"(^|/)par\w{5}\.par", path):
            fault(f"{what}: {path} was left over")


def check_no_process(bench, what):
    left = marked_processes(f"{MARK}={bench.work}", "wainscot")
    if left:
        fault(f"{what}: {len(left)} processes still run")
        for pid in left:
            kill(pid)


def same_everywhere(folder, other, names, what):
    """job.json and results.csv have no times, so that they are the same for the same drives."""
    differ = [name for name in names
              if read_bytes(os.path.join(folder, name, "job.json")) != read_bytes(os.path.join(other, name, "job.json"))]
    if differ:
        fault(f"{what}: job.json differs for {len(differ)} drives, such as {differ[0]}")
    if read_bytes(os.path.join(folder, "results.csv")) != read_bytes(os.path.join(other, "results.csv")):
        fault(f"{what}: results.csv differs")


# ---- parts


def batch_words(bench, drives, folder, *options):
    return [bench.program, "batch", drives, "--out", folder, *options, "--", "build"]


def environment(bench, base=None):
    return dict(base or os.environ, **{MARK: bench.work})


def speed(bench, run, folder, what, ended):
    drives = len(bench.names)
    seconds = ended - run.begun
    figure(f"{what}, s", f"{seconds:.1f}")
    figure(f"{what}: efficiency", f"{bench.alone_s / (bench.cores * seconds):.3f}", ">= 0.9")
    figure(f"{what}: overhead a drive, ms", f"{1000 * (bench.cores * seconds - bench.alone_s) / drives:.1f}", "<= 20")
    if bench.loops_s:
        figure(f"{what}: of its own a drive, ms", f"{1000 * bench.cores * (seconds - bench.loops_s) / drives:.1f}", "<= 20")
    references = {name: os.path.join(bench.one, name, "map") for name in bench.names}
    files = compare_maps(folder, references, what)
    figure(f"{what}: files compared", files)
    check_records(folder, bench.alone, what)
    check_results(folder, bench.names, what)
    check_left_over(folder, bench.names, what)
    check_no_process(bench, what)
    expected = 0 if not any(bench.alone.values()) else 1
    if run.status != expected:
        fault(f"{what}: ended with {run.status} instead of {expected}: {run.said()[-1000:]}")


def by_parallel(bench):
    tell("By wainscot batch with GNU parallel")
    folder = bench.parallel_folder
    run = ran(batch_words(bench, bench.list, folder, "--jobs", str(bench.cores)), os.path.join(bench.work, "parallel"),
              env=environment(bench))
    speed(bench, run, folder, "parallel", run.ended)
    figure("parallel: in processor time a drive, ms",
           f"{1000 * (run.processor_s - (bench.loops_processor_s or bench.alone_processor_s)) / len(bench.names):.1f}")
    figure("parallel: memory of the largest process, MB", f"{run.memory_mb:.0f}")
    again = ran(batch_words(bench, bench.list, folder, "--jobs", str(bench.cores)), os.path.join(bench.work, "parallel-again"),
                env=environment(bench))
    figure("parallel: the same again, nothing to do, s", f"{again.seconds:.2f}")
    figure("parallel: the same again, of a drive, ms", f"{1000 * again.seconds / len(bench.names):.2f}")


def by_slurm(bench):
    tell("By wainscot batch --slurm, on a Slurm of its own")
    folder = os.path.join(bench.work, "by-slurm")
    with slurm(os.path.join(bench.work, "slurm"), bench.cores) as cluster:
        run = ran(batch_words(bench, bench.list, folder, "--slurm", "--wait"),
                  os.path.join(bench.work, "by-slurm.said"), env=environment(bench, cluster.environment))
        if not os.path.exists(os.path.join(folder, "results.csv")):
            log = read_bytes(cluster.folder + "/log/slurmctld.log").decode()
            fault(f"slurm: no results.csv: {run.said()[-2000:]}\n{log[-3000:]}")
            return
        # `sbatch --wait` asks seldom whether the jobs have ended, so that the command returns later than they do.
        speed(bench, run, folder, "slurm, until results.csv was there", os.path.getmtime(os.path.join(folder, "results.csv")))
        figure("slurm: until the command returned, s", f"{run.seconds:.1f}")
    if os.path.isdir(bench.parallel_folder):
        same_everywhere(folder, bench.parallel_folder, bench.names, "slurm and parallel")
    shutil.rmtree(folder)


class Killing:
    """Kills of several kinds while a batch runs; each counts what it hit, and gives False where it hit nothing."""

    def __init__(self, bench, folder, cluster=None):
        self.bench, self.folder, self.cluster = bench, folder, cluster
        self.chance, self.hits = random.Random(bench.seed), {}

    def hit(self, what, number=1):
        self.hits[what] = self.hits.get(what, 0) + number

    def worker(self, head):
        workers = [pid for pid in marked_processes(f"{MARK}={self.bench.work}", "wainscot") if pid != head]
        if not workers or not kill(self.chance.choice(workers)):
            return False
        self.hit("a worker killed")
        return True

    def whole_tree(self, head):
        all_of_it = family(head)
        for pid in all_of_it:  # so that nobody sees another die
            kill(pid, signal.SIGSTOP)
        all_of_it += [pid for pid in family(head) if pid not in all_of_it]
        for pid in all_of_it:
            kill(pid)
        self.hit("command, engine and workers killed at once")

    def head(self, head):
        kill(head)
        self.hit("the command alone killed")

    def interrupt(self, head):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(head, signal.SIGINT)
        self.hit("Ctrl-C")

    def task(self, _):
        tasks = self.cluster.queue("-t", "R", "-o", "%i")
        if not tasks:
            return False
        self.cluster.ask("scancel", self.chance.choice(tasks))
        self.hit("a task cancelled")
        return True

    def all_tasks(self, _):
        self.cluster.ask("scancel", "-u", str(os.getuid()))
        self.hit("all tasks cancelled")

    def node(self, _):
        self.cluster.stop("slurmd")
        time.sleep(1.0)
        self.cluster.start("slurmd")
        self.hit("slurmd stopped and started")

    def node_and_steps(self, head):
        self.cluster.stop("slurmd", signal.SIGKILL)
        for pid in (marked_processes(f"SLURM_CONF={self.cluster.folder}/slurm.conf", "slurmstepd") +
                    [pid for pid in marked_processes(f"{MARK}={self.bench.work}", "wainscot") if pid != head]):
            kill(pid)
        node = self.cluster.ask("scontrol", "show", "node").split()[0]
        self.cluster.ask("scontrol", "update", node, "State=DOWN", "Reason=killed")
        time.sleep(1.0)
        self.cluster.start("slurmd")
        self.cluster.ask("scontrol", "update", node, "State=RESUME")
        self.hit("slurmd and all workers killed (a node that goes down)")

    def controller(self, _):
        self.cluster.stop("slurmctld")
        time.sleep(1.0)
        self.cluster.start("slurmctld")
        self.hit("slurmctld stopped and started")


def done_of(folder, names):
    return sum(os.path.exists(os.path.join(folder, name, "job.json")) for name in names)


def kill_part(bench, engine):
    cluster_context = (slurm(os.path.join(bench.work, "slurm-killed"), bench.cores, max_array=17) if engine == "slurm"
                       else contextlib.nullcontext())
    tell(f"Killed at random: {engine}")
    with cluster_context as cluster:
        names = bench.names[:bench.killed]
        drives = {name: os.path.join(bench.list, name) for name in names}
        drives.update(bench.broken)
        table = os.path.join(bench.work, f"killed-{engine}.csv")
        with open(table, "w") as file:
            file.write("name,drive\n" + "".join(f"{name},{drives[name]}\n" for name in sorted(drives)))
        folder = os.path.join(bench.work, f"killed-{engine}")
        killing = Killing(bench, folder, cluster)
        options = ["--slurm", "--wait"] if engine == "slurm" else ["--jobs", str(bench.cores)]
        words = batch_words(bench, table, folder, *options)
        base = cluster.environment if cluster else None
        # Each round: what happens to it so many times, and how it ends then.
        if engine == "parallel":
            rounds = [([killing.worker], 6, killing.whole_tree), ([killing.worker], 6, killing.interrupt),
                      ([killing.worker], 6, killing.head), ([killing.worker], 12, None)]
        else:
            # A killed worker leaves a whole block of drives to the next round.
            rounds = [([killing.worker, killing.task], 2, killing.all_tasks),
                      ([killing.worker, killing.node, killing.controller], 3, killing.head),
                      ([killing.task, killing.worker], 2, killing.node_and_steps)]
        rounds_taken, tellings = 0, []
        for events, times, last in rounds + [([], 0, None)] * 4:
            rounds_taken += 1
            if cluster and cluster.queue("-o", "%A"):  # the command was killed, and Slurm goes on
                run = ran(words, os.path.join(bench.work, f"killed-{engine}-refused"), env=environment(bench, base))
                killing.hit("the same command while Slurm had tasks: refused" if run.status else
                            "the same command while Slurm had tasks: waited for them")
                killing.all_tasks(None)
                cluster.await_queue()
            run = Run(words, os.path.join(bench.work, f"killed-{engine}-{rounds_taken}"), env=environment(bench, base),
                      start_new_session=True)
            happened = 0
            patience = time.monotonic() + 600
            while run.poll() is None:
                if time.monotonic() > patience:
                    fault(f"kill, {engine}: round {rounds_taken} did not end in 600 s: {run.said()[-1000:]}")
                    killing.whole_tree(run.process.pid)
                    break
                time.sleep(killing.chance.uniform(0.2, 0.7))
                if run.poll() is not None or happened > times or (happened == times and not last):
                    continue
                if (events[happened % len(events)] if happened < times else last)(run.process.pid) is not False:
                    happened += 1
            run.wait()
            if last == killing.interrupt and happened > times:
                interrupted = time.monotonic()
                with contextlib.suppress(RuntimeError):
                    wait_until("workers", lambda: not marked_processes(f"{MARK}={bench.work}", "wainscot"), 30)
                figure(f"kill, {engine}: the last worker ended after Ctrl-C, s", f"{time.monotonic() - interrupted:.1f}")
                check_no_process(bench, f"kill, {engine}: 30 s after Ctrl-C")
            tellings.append((run.status, run.said()))
            complete = done_of(folder, drives) == len(drives)
            tell(f"  round {rounds_taken}: status {run.status}, {done_of(folder, drives)} of {len(drives)} done")
            if complete and run.status in (0, 1) and not events:
                break
        if cluster:
            cluster.await_queue()
        figure(f"kill, {engine}: hits", "; ".join(f"{what}: {number}" for what, number in sorted(killing.hits.items())))
        figure(f"kill, {engine}: rounds until all was done", rounds_taken)
        what = f"kill, {engine}"
        compare_maps(folder, {name: os.path.join(bench.one, name, "map") for name in names}, what)
        check_records(folder, {name: {**bench.alone, **bench.broken_alone}[name] for name in drives}, what)
        check_results(folder, drives, what)
        check_left_over(folder, drives, what)
        check_no_process(bench, what)
        for name in bench.broken:
            if os.path.exists(os.path.join(folder, name, "map")) != os.path.exists(os.path.join(bench.one, name, "map")):
                fault(f"{what}: {name} has a map, or lacks one that build gave")
        for name in bench.broken:
            lines = [line for line in tellings[-1][1].splitlines() if re.search(rf"\b{name}\b", line)]
            if len(lines) != 1:
                fault(f"{what}: the failed drive {name} is told {len(lines)} times by the last run")
        # Once more: nothing is done again. With --again: those that failed are.
        stamps = {name: os.stat(os.path.join(folder, name, "job.json")).st_ino for name in drives}
        run = ran(words, os.path.join(bench.work, f"killed-{engine}-last"), env=environment(bench, base))
        redone = [name for name in drives if os.stat(os.path.join(folder, name, "job.json")).st_ino != stamps[name]]
        if redone:
            fault(f"{what}: {redone[:5]} were done again without --again")
        run = ran(batch_words(bench, table, folder, *options, "--again"), os.path.join(bench.work, f"killed-{engine}-again"),
                  env=environment(bench, base))
        redone = [name for name in drives if os.stat(os.path.join(folder, name, "job.json")).st_ino != stamps[name]]
        if not set(bench.broken) <= set(redone):
            fault(f"{what}: --again did not do {sorted(set(bench.broken) - set(redone))} again")
        figure(f"{what}: done again by --again", f"{len(redone)} of {len(drives)}, of which {len(bench.broken)} had failed")
        compare_maps(folder, {name: os.path.join(bench.one, name, "map") for name in names}, what + ", --again")
        check_left_over(folder, drives, what + ", --again")
        if os.path.isdir(os.path.join(bench.work, "killed-parallel")) and engine == "slurm":
            same_everywhere(folder, os.path.join(bench.work, "killed-parallel"), drives, "kill, slurm and parallel")


def overview_of(bench, number):
    """Seconds of two runs, memory in MB and bytes of the page, of so many maps; none where it went wrong."""
    folder = os.path.join(bench.work, f"houses{number}")
    os.mkdir(folder)
    own = os.path.join(bench.parallel_folder, ".batch")
    if os.path.isdir(own):
        shutil.copytree(own, os.path.join(folder, ".batch"))
    for i in range(number):
        name = bench.names[i % len(bench.names)]
        linked_copy(os.path.join(bench.parallel_folder, name), os.path.join(folder, f"{name}-{i // len(bench.names):05d}"))
    page, table = os.path.join(bench.work, "houses.html"), os.path.join(bench.work, "houses.csv")
    seconds = []
    for _ in range(2):
        for made in (page, table):
            with contextlib.suppress(FileNotFoundError):
                os.remove(made)
        run = ran([bench.program, "overview", folder, "--page", page, "--csv", table], os.path.join(bench.work, "overview"),
                  env=environment(bench))
        if run.status not in (0, 1) or not os.path.exists(page) or not os.path.exists(table):
            fault(f"overview: ended with {run.status}: {run.said()[-1000:]}")
            return None
        seconds.append(run.seconds)
    with open(table, newline="") as file:
        rows = list(csv.reader(line for line in file if not line.startswith("#")))
    if len(rows) - 1 != number:
        fault(f"overview: its table has {len(rows) - 1} rows for {number} maps")
    shutil.rmtree(folder)
    return seconds, run.memory_mb, os.path.getsize(page)


def overview(bench):
    tell(f"The overview of {bench.maps} maps")
    few, many = (overview_of(bench, number) for number in (max(1, bench.maps // 10), bench.maps))
    if not few or not many:
        return
    figure(f"overview: {bench.maps} maps, first and second time, s", f"{many[0][0]:.2f}, {many[0][1]:.2f}", "<= 10")
    figure("overview: memory, MB; page, MB", f"{many[1]:.0f}; {many[2] / 1e6:.2f}")
    further = bench.maps - max(1, bench.maps // 10)
    if further > 0:
        figure("overview: each further map, ms, kB of memory, bytes of the page",
               f"{1000 * (many[0][1] - few[0][1]) / further:.2f}, {1000 * (many[1] - few[1]) / further:.1f}, "
               f"{(many[2] - few[2]) / further:.0f}")


def linked_copy(source, to):
    """The folder with hard links in place of its files."""
    for parent, _, files in os.walk(source):
        made = os.path.normpath(os.path.join(to, os.path.relpath(parent, source)))
        os.makedirs(made, exist_ok=True)
        for file in files:
            os.link(os.path.join(parent, file), os.path.join(made, file))


def on_disk(folder):
    """Files and folders, their bytes, and the bytes that the file system gave them."""
    stats = [os.stat(os.path.join(folder, name)) for name in tree(folder)] + [os.stat(folder)]
    return len(stats), sum(s.st_size for s in stats if not stat.S_ISDIR(s.st_mode)), sum(512 * s.st_blocks for s in stats)


def slope(one, other, at):
    """What each further one takes, by two measurements, and what that makes of `at`."""
    each = (other[1] - one[1]) / (other[0] - one[0])
    return each, one[1] + each * (at - one[0])


MILLION = 1000000


def reckon_storage(bench):
    tell("Bytes and files")
    demo = bench.demo
    hour = os.path.join(bench.work, "hour")
    quiet([bench.program, "simulate", "--hard-place", "one-hour", "--seed", "1", "--out", hour])
    whole = os.path.join(bench.work, "whole-house")
    quiet([bench.program, "simulate", "--random-house", str(FIRST_HOUSE), "--calibrated", "--out", whole])
    for what, drive in (("short drive", os.path.join(bench.list, bench.names[0])), ("demonstration", demo),
                        (f"home {FIRST_HOUSE}", whole), ("an hour", hour)):
        to = os.path.join(bench.work, "reckoned-map")
        run = build_one(bench, drive, to)
        files, size, disk = on_disk(drive)
        map_files, map_size, map_disk = on_disk(to)
        parts = sorted(((os.path.getsize(f"{to}/map/{name}"), name) for name in os.listdir(f"{to}/map")), reverse=True)
        figure(f"{what}: the drive, MB, files and folders", f"{size / 1e6:.2f}, {files}")
        figure(f"{what}: the map, MB, on disk MB, files and folders",
               f"{map_size / 1e6:.2f}, {map_disk / 1e6:.2f}, {map_files}")
        figure(f"{what}: largest files of the map, MB", ", ".join(f"{name} {size / 1e6:.2f}" for size, name in parts[:3]))
        figure(f"{what}: processor time, s; memory, MB", f"{run.processor_s:.1f}; {run.memory_mb:.0f}")
        shutil.rmtree(to)


def reckon_engine(bench):
    tell("GNU parallel")
    line = '{"name":"%08d","drive":"/a/folder/with/many/drives/of/some/houses/%08d","options":[]}\n'
    jobs = os.path.join(bench.work, "million.jsonl")
    begun = time.monotonic()
    with open(jobs, "w") as file:
        file.writelines(line % (number, number) for number in range(MILLION))
    figure("job file of 10^6 lines, MB; written by Python in s",
           f"{os.path.getsize(jobs) / 1e6:.0f}; {time.monotonic() - begun:.1f}")
    measured = []
    for number in (2000, 10000):
        few = os.path.join(bench.work, "few.jsonl")
        with open(jobs) as file, open(few, "w") as to:
            to.writelines(next(file) for _ in range(number))
        run = ran(["parallel", "--plain", "--will-cite", "--ungroup", "--jobs", str(bench.cores), "--retries", "3", "--joblog",
                   os.path.join(bench.work, "joblog"), "--arg-file", few, "true"],
                  os.path.join(bench.work, "engine"), env=environment(bench))
        measured.append((number, run.seconds, run.memory_mb, run.processor_s))
        figure(f"GNU parallel, {number} jobs that do nothing: s, of processor time, MB",
               f"{run.seconds:.1f}, {run.processor_s:.1f}, {run.memory_mb:.1f}")
    each, all_s = slope(measured[0][:2], measured[1][:2], MILLION)
    figure("GNU parallel, ms a job; 10^6 jobs, h, reckoned", f"{1000 * each:.2f}; {all_s / 3600:.1f}")
    each, all_mb = slope((measured[0][0], measured[0][2]), (measured[1][0], measured[1][2]), MILLION)
    figure("GNU parallel, kB a job; 10^6 jobs, MB, reckoned", f"{1000 * each:.2f}; {all_mb:.0f}")


def done_before(bench, base, many, number):
    """A list of so many drives and the folder of a batch that has done them all, by hard links."""
    drives, folder = os.path.join(many, "drives"), os.path.join(many, "batch")
    os.makedirs(drives)
    os.makedirs(folder)
    name = bench.names[0]
    drive = os.path.join(bench.list, name)
    record = json.loads(read_bytes(os.path.join(base, name, "job.json")))
    for i in range(number):
        one = f"{i:08d}"
        linked_copy(drive, os.path.join(drives, one))
        linked_copy(os.path.join(base, name, "map"), os.path.join(folder, one, "map"))
        # Another place and the same bytes: this is still the same job, which the record says of times and sizes.
        digest = hashlib.sha256()
        for file in sorted(os.listdir(drive)):
            path = os.path.join(drives, one, file)
            is_now = os.stat(path)
            digest.update(f"{path}\n{is_now.st_size} {is_now.st_mtime_ns // 10**9}.{is_now.st_mtime_ns % 10**9:09d}\n".encode())
        with open(os.path.join(folder, one, "job.json"), "w") as file:
            json.dump(dict(record, name=one, drive=os.path.join(drives, one), **{
                key: digest.hexdigest() for key in ("files",) if key in record}), file, indent=2)
    if os.path.isdir(os.path.join(base, ".batch")):
        shutil.copytree(os.path.join(base, ".batch"), os.path.join(folder, ".batch"))
    return drives, folder


def reckon_command(bench):
    tell("The command itself, with all done before")
    base = os.path.join(bench.work, "reckoned")
    ran(batch_words(bench, bench.list, base, "--jobs", str(bench.cores)), os.path.join(bench.work, "reckoned.said"),
        env=environment(bench))
    measured = []
    for number in (2000, 10000):
        many = os.path.join(bench.work, f"many{number}")
        drives, folder = done_before(bench, base, many, number)
        run = ran(batch_words(bench, drives, folder, "--jobs", str(bench.cores)), os.path.join(bench.work, "many.said"),
                  env=environment(bench))
        if run.status != 0 or not os.path.exists(os.path.join(folder, "results.csv")):
            fault(f"reckon: {number} drives that were done before: status {run.status}: {run.said()[-1000:]}")
        measured.append((number, run.seconds, run.memory_mb))
        figure(f"batch, {number} drives, all done before: s, MB", f"{run.seconds:.2f}, {run.memory_mb:.1f}")
        figure("  results.csv, bytes a drive", f"{os.path.getsize(os.path.join(folder, 'results.csv')) / number:.0f}")
        shutil.rmtree(many)
    each, all_s = slope(measured[0][:2], measured[1][:2], MILLION)
    figure("batch, 10^6 drives, all done before, s, reckoned", f"{all_s:.0f}")
    each, all_mb = slope((measured[0][0], measured[0][2]), (measured[1][0], measured[1][2]), MILLION)
    figure("batch, kB a drive; 10^6 drives, MB, reckoned", f"{1000 * each:.2f}; {all_mb:.0f}")


def reckon_slurm(bench):
    tell("Slurm's controller")
    with slurm(os.path.join(bench.work, "slurm-large"), bench.cores, max_array=MILLION + 1, max_jobs=2 * MILLION) as cluster:
        def memory_mb():
            found = re.search(rb"VmRSS:\s+(\d+)", read_bytes(f"/proc/{cluster.processes['slurmctld'].process.pid}/status"))
            return int(found.group(1)) / 1024
        def submit(words):
            begun = time.monotonic()
            cluster.ask("sbatch", "--output=/dev/null", *words, "--wrap", "true")
            return time.monotonic() - begun
        empty = memory_mb()
        for tasks in (1000, MILLION):
            seconds = submit(["--hold", f"--array=0-{tasks - 1}"])
            figure(f"slurmctld: an array of {tasks} tasks that wait: MB more, s to submit",
                   f"{memory_mb() - empty:.1f}, {seconds:.2f}")
        before, jobs = memory_mb(), 1000
        begun = time.monotonic()
        for _ in range(jobs):
            submit(["--hold"])
        figure(f"slurmctld: {jobs} single jobs that wait: kB more of each, ms to submit each",
               f"{1000 * (memory_mb() - before) / jobs:.1f}, {1000 * (time.monotonic() - begun) / jobs:.0f}")
        cluster.ask("scancel", "-u", str(os.getuid()))
        time.sleep(2)
        tasks = 400
        before, begun = memory_mb(), time.monotonic()
        submit([f"--array=0-{tasks - 1}", "--mem=100M"])
        wait_until("the tasks", lambda: not cluster.queue("-o", "%A"), 300)
        seconds = time.monotonic() - begun
        figure(f"slurmctld: {tasks} tasks that do nothing: s; a second", f"{seconds:.1f}; {tasks / seconds:.0f}")
        figure("slurmctld: kB more of each that has ended, until it is forgotten (MinJobAge)",
               f"{1000 * (memory_mb() - before) / tasks:.1f}")


def reckon(bench):
    reckon_storage(bench)
    reckon_engine(bench)
    reckon_command(bench)
    reckon_slurm(bench)


PARTS_THAT_NEED_TIMES = {"parallel", "slurm"}


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--drives", type=int, default=500, help="how many (default 500)")
    parser.add_argument("--jobs", type=int, default=min(2, os.cpu_count() or 1), help="cores to use (default 2)")
    parser.add_argument("--only", default="parallel,slurm,kill,overview", help="parts, joined by commas: " + ", ".join(PARTS))
    parser.add_argument("--killed", type=int, default=100, help="drives of the part kill (default 100)")
    parser.add_argument("--engines", default="parallel,slurm", help="of the part kill (default parallel,slurm)")
    parser.add_argument("--maps", type=int, default=10000, help="maps of the part overview (default 10000)")
    parser.add_argument("--seed", type=int, default=1, help="draws what is killed, and when (default 1)")
    parser.add_argument("--no-loops", action="store_true", help="leave out the bare loops, whose time is compared with")
    parser.add_argument("--keep", action="store_true", help="keep the temporary folder")
    parser.add_argument("--demo", default="data/demo/drive", help="the demonstration's drive (default data/demo/drive)")
    parser.add_argument("--program", default=os.path.join(HERE, "..", "..", "apps", "wainscot"), help="the program")
    bench = parser.parse_args()
    only = bench.only.split(",")
    if set(only) - set(PARTS) or set(bench.engines.split(",")) - {"parallel", "slurm"} or bench.drives < 1 or bench.jobs < 1:
        parser.error(f"--only takes {', '.join(PARTS)}; --engines parallel, slurm; --drives and --jobs are 1 or more")
    bench.program, bench.cores = os.path.abspath(bench.program), bench.jobs
    bench.loops_s, bench.loops_processor_s = 0.0, 0.0
    bench.killed = min(bench.killed, bench.drives)
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, end_by_signal)
    bench.work = tempfile.mkdtemp(prefix="wainscot-batch-")
    os.chmod(bench.work, 0o711)  # munged wants a socket that everybody can reach
    bench.list, bench.one = os.path.join(bench.work, "drives"), os.path.join(bench.work, "one")
    bench.parallel_folder = os.path.join(bench.work, "by-parallel")
    try:
        tell(f"Simulating {bench.drives} drives")
        simulate(bench)
        if set(only) & {"parallel", "slurm", "kill"}:
            reference(bench)
        if set(only) & PARTS_THAT_NEED_TIMES and not bench.no_loops:
            bare_loops(bench)
        if "parallel" in only or "overview" in only:
            if "parallel" not in only:
                ran(batch_words(bench, bench.list, bench.parallel_folder, "--jobs", str(bench.cores)),
                    os.path.join(bench.work, "parallel"), env=environment(bench))
            else:
                by_parallel(bench)
        if "slurm" in only:
            by_slurm(bench)
        if "kill" in only:
            bench.broken, bench.broken_alone = broken_drives(bench), {}
            for name, drive in bench.broken.items():
                bench.broken_alone[name] = build_one(bench, drive, os.path.join(bench.one, name)).status
            for engine in bench.engines.split(","):
                kill_part(bench, engine)
        if "overview" in only:
            overview(bench)
        if "reckon" in only:
            reckon(bench)
    except Ended as ended:
        fault(str(ended))
    finally:
        for pid in marked_processes(f"{MARK}={bench.work}"):
            kill(pid)
        if bench.keep:
            tell(f"Kept: {bench.work}")
        else:
            shutil.rmtree(bench.work, ignore_errors=True)
    tell("\n| what | figure | goal |\n|---|---|---|")
    for what, value, goal in figures:
        tell(f"| {what.strip()} | {value} | {goal} |")
    for text in faults:
        tell(f"WRONG: {text}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
