"""A Slurm of one node, started on loopback for these tests alone, runs the job files of docs/slurm.

Each part of an array is interrupted in another way; the merged result must be, byte for byte, that
of one run. What Slurm does with a job is asked of Slurm itself (scontrol), files are compared by
the standard library, the job files are held against shellcheck. Needs slurm-wlm, munge and
shellcheck, no privileges and no running services.
"""
import ctypes
import filecmp
import os
import pathlib
import pwd
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import unittest

PROGRAM = pathlib.Path(os.environ["OHMGLOW_PROGRAM"]).resolve()
SOURCE = pathlib.Path(os.environ["OHMGLOW_SOURCE_DIR"]).resolve()
JOBS = SOURCE / "docs" / "slurm"
TOOLS = {"munged": "munge", "slurmctld": "slurm-wlm", "slurmd": "slurm-wlm", "sbatch": "slurm-wlm",
         "scontrol": "slurm-wlm", "scancel": "slurm-wlm", "squeue": "slurm-wlm",
         "shellcheck": "shellcheck"}
PATIENCE_S = 240
NODE = "loopback"
PARTS = 3
OPTIONS = ["--as-of", "2026-03-05", "--uncertainty", "monte-carlo", "--seed", "7",
           "--format", "json,csv,html"]

# A program before the program: on the first start of each part something goes wrong.
INTERRUPTED = """#!/bin/bash
if [ "$1" = assess ] && [ -z "${{SLURM_RESTART_COUNT:-}}" ]; then
  case $SLURM_ARRAY_TASK_ID in
    1)  # killed, as an administrator or a machine without memory does
      "{program}" "$@" --progress never &
      until [ -s "{root}/out/part-1/results.journal" ]; do
        kill -0 $! 2>/dev/null || break
        sleep 0.01
      done
      kill -KILL $!
      wait $!
      exit 137
      ;;
    2)  # ended by the kernel in the midst of an entry, wherever this machine's time stands then
      ulimit -c 0
      ulimit -f {blocks}
      ;;
    3)  # told that its time is nearly over, as Slurm tells it by --signal
      # A task's SLURM_JOB_ID may be the whole array's.
      scancel --batch --signal=USR1 "${{SLURM_ARRAY_JOB_ID}}_$SLURM_ARRAY_TASK_ID"
      exec sleep {patience}
      ;;
  esac
fi
exec "{program}" "$@"
"""

CONFIGURATION = """
ClusterName=test
SlurmctldHost={host}(127.0.0.1)
SlurmUser={user}
SlurmdUser={user}
SlurmctldPort={controller_port}
SlurmdPort={node_port}
# Without these the daemons listen on every address.
CommunicationParameters=NoInAddrAny,NoCtldInAddrAny
AuthType=auth/munge
CredType=cred/munge
# A job that is run again waits until its old credential is worthless: two minutes if not told.
AuthInfo=socket={root}/munge/socket,cred_expire=5
StateSaveLocation={root}/state
SlurmdSpoolDir={root}/spool
SlurmctldPidFile={root}/slurmctld.pid
SlurmdPidFile={root}/slurmd.pid
# Nothing that asks for control groups, accounts or a message-passing library.
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
MpiDefault=none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
JobCompType=jobcomp/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SlurmdParameters=config_overrides
ReturnToService=2
SchedulerParameters=batch_sched_delay=1,sched_interval=2
NodeName={node} NodeHostname={host} NodeAddr=127.0.0.1 CPUs=2 State=UNKNOWN
PartitionName=all Nodes={node} Default=YES MaxTime=INFINITE State=UP
"""

# slurmd loads a plugin for control groups even where nothing uses it. This one asks for nothing as
# it starts; the newer one, and the search for the right one, want a mounted tree and systemd.
CONTROL_GROUPS = "CgroupPlugin=cgroup/v1\n"


def wait_until(what, happened, patience_s=PATIENCE_S):
    """The first true value of happened()."""
    end = time.monotonic() + patience_s
    while time.monotonic() < end:
        value = happened()
        if value:
            return value
        time.sleep(0.2)
    raise AssertionError(f"after {patience_s} s: not yet {what}")


def free_ports(count):
    """Held open together, so that they are different ones."""
    sockets = [socket.socket() for _ in range(count)]
    for each in sockets:
        each.bind(("127.0.0.1", 0))
    ports = [each.getsockname()[1] for each in sockets]
    for each in sockets:
        each.close()
    return ports


def adopt_orphans():
    """A job's step leaves slurmd; this makes it a child of this process, to be found at the end."""
    pr_set_child_subreaper = 36  # prctl(2)
    if ctypes.CDLL(None, use_errno=True).prctl(pr_set_child_subreaper, 1, 0, 0, 0) != 0:
        raise OSError(ctypes.get_errno(), "prctl")


def children():
    """Process ids whose parent is this process, proc(5)."""
    found = []
    for stat in pathlib.Path("/proc").glob("[0-9]*/stat"):
        try:
            after_name = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue  # ended in the meantime
        if int(after_name[1]) == os.getpid():
            found.append(int(stat.parent.name))
    return found


class Cluster:
    """munged, slurmctld and slurmd of one node, in a folder of their own."""

    def __init__(self, root):
        self.root = root
        self.daemons = {}
        kept = {k: v for k, v in os.environ.items() if not k.startswith(("SLURM_", "SBATCH_"))}
        self.environment = {**kept, "SLURM_CONF": str(root / "slurm.conf")}

    def start(self):
        adopt_orphans()
        for folder in ("munge", "state", "spool"):
            (self.root / folder).mkdir(mode=0o711)
        self.start_munge()
        controller_port, node_port = free_ports(2)
        (self.root / "slurm.conf").write_text(CONFIGURATION.format(
            host=socket.gethostname().partition(".")[0], user=pwd.getpwuid(os.geteuid()).pw_name,
            controller_port=controller_port, node_port=node_port, root=self.root, node=NODE))
        (self.root / "cgroup.conf").write_text(CONTROL_GROUPS)
        self.start_daemon("slurmctld", "-D")
        self.wait_for("the controller", lambda: self.run("scontrol", "ping").returncode == 0)
        self.start_daemon("slurmd", "-D", "-N", NODE)
        self.wait_for("the node", lambda: "State=IDLE " in self.run(
            "scontrol", "--oneliner", "show", "node", NODE).stdout)

    def start_munge(self):
        folder = self.root / "munge"
        key = folder / "key"
        key.touch(mode=0o600)
        key.write_bytes(os.urandom(1024))
        self.start_daemon("munged", "--foreground", f"--key-file={key}",
                          f"--socket={folder}/socket", f"--log-file={folder}/log",
                          f"--pid-file={folder}/pid", f"--seed-file={folder}/seed")
        self.wait_for("munge's socket", (folder / "socket").exists)

    def start_daemon(self, name, *arguments):
        with open(self.root / f"{name}.log", "wb") as log:
            self.daemons[name] = subprocess.Popen(
                [name, *arguments], stdin=subprocess.DEVNULL, stdout=log, stderr=log,
                env=self.environment, cwd=self.root)

    def wait_for(self, what, happened):
        def happened_with_all_alive():
            for name, daemon in self.daemons.items():
                if daemon.poll() is not None:
                    raise AssertionError(f"{name} ended with {daemon.returncode}")
            return happened()
        return wait_until(what, happened_with_all_alive)

    def run(self, *command, **more_environment):
        return subprocess.run(command, cwd=self.root, env={**self.environment, **more_environment},
                              stdin=subprocess.DEVNULL, capture_output=True, text=True,
                              timeout=PATIENCE_S, check=False)

    def job(self, number):
        """What scontrol says of a job or a task of an array, by name."""
        shown = self.run("scontrol", "--oneliner", "show", "job", str(number)).stdout
        return dict(re.findall(r"(\w+)=(\S*)", shown))

    def ended(self, number):
        """The job, once it is over for good. A task that is to be run again is PENDING."""
        def over():
            job = self.job(number)
            is_over = job.get("JobState") in ("COMPLETED", "FAILED", "CANCELLED", "TIMEOUT")
            return job if is_over else None
        return self.wait_for(f"job {number} ended", over)

    def stop(self):
        if "slurmctld" in self.daemons and self.daemons["slurmctld"].poll() is None:
            self.run("scancel", "--full", "--user", pwd.getpwuid(os.geteuid()).pw_name)
            for _ in range(50):
                if not self.run("squeue", "--noheader").stdout:
                    break
                time.sleep(0.2)
        for daemon in reversed(list(self.daemons.values())):
            daemon.terminate()
            try:
                daemon.wait(timeout=20)
            except subprocess.TimeoutExpired:
                daemon.kill()
                daemon.wait()
        for _ in range(20):  # a step's own children are adopted once the step is gone
            left = children()
            for pid in left:
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)
            if not left:
                return

    def print_logs(self):
        logs = [*self.root.glob("*.log"), self.root / "munge" / "log", *self.root.glob("*/log/*")]
        for log in logs:
            if log.is_file():
                last = log.read_text(errors="replace").splitlines()[-200:]
                print(f"--- {log.relative_to(self.root)}", *last, sep="\n", file=sys.stderr)


class SlurmArray(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        # Daemons lie where an ordinary user's PATH does not look.
        os.environ["PATH"] += ":/usr/sbin:/sbin"
        missing = sorted({package for tool, package in TOOLS.items() if not shutil.which(tool)})
        if missing:
            raise RuntimeError(f"missing: {' '.join(missing)}; run ./bootstrap packages")
        # Below /tmp, since a socket's path has 108 characters at most (unix(7)); munged wants its
        # socket within every user's reach.
        cls.root = pathlib.Path(tempfile.mkdtemp(prefix="ohmglow-slurm-", dir="/tmp"))
        cls.root.chmod(0o711)
        cls.cluster = Cluster(cls.root)
        try:
            cls.cluster.start()
            cls.write_survey()
        except BaseException:
            cls.cluster.print_logs()
            cls.end()
            raise
        cls.addClassCleanup(cls.end)

    @classmethod
    def end(cls):
        cls.cluster.stop()
        shutil.rmtree(cls.root)

    @classmethod
    def write_survey(cls):
        """The survey, and the result of one run. It lies as deep as the merged one, since a
        manifest says the way from it to the survey."""
        for arguments in (["demo", "survey"],
                          ["assess", "survey", "-o", "one/result", *OPTIONS]):
            done = cls.cluster.run(PROGRAM, *arguments)
            if done.returncode > 1:
                raise RuntimeError(done.stderr)

    def run(self, result=None):
        failed_before = len(result.failures) + len(result.errors)
        super().run(result)
        if len(result.failures) + len(result.errors) > failed_before:
            self.cluster.print_logs()

    def submit(self, out, program, *options, parts=PARTS):
        """The numbers of the array and of its merge."""
        done = self.cluster.run(JOBS / "submit.sh", "survey", out, str(parts), *options,
                                OHMGLOW=str(program))
        self.assertEqual(done.returncode, 0, done.stderr)
        array, merge = re.findall(r"job (\d+)", done.stdout)
        return array, merge, done

    def script(self, name, text):
        path = self.root / name
        path.write_text(text)
        path.chmod(0o755)
        return path

    def log(self, out, name):
        return (self.root / out / "log" / f"{name}.log").read_text()

    def motors_kept(self, out, part):
        """How many motors the last start of a part found done, and how many are its own."""
        said = re.findall(r"(\d+) of (\d+) motors are done already", self.log(out, part))
        self.assertTrue(said, "began from nothing")
        return tuple(map(int, said[-1]))

    def assert_same_as_one_run(self, folder):
        self.assert_same("one/result", folder)

    def assert_same(self, one_folder, folder):
        one, other = self.root / one_folder, self.root / folder
        names = sorted(path.name for path in one.iterdir())
        self.assertEqual(names, ["findings.json", "manifest.json", "ranked.csv", "report.html"])
        self.assertEqual(names, sorted(path.name for path in other.iterdir()))
        for name in names:
            self.assertTrue(filecmp.cmp(one / name, other / name, shallow=False),
                            f"{folder}/{name} is not that of one run")

    def test_the_job_files_are_sound_shell(self):
        checked = self.cluster.run("shellcheck", *sorted(JOBS.iterdir()))
        self.assertEqual(checked.returncode, 0, checked.stdout)

    def test_parts_that_are_interrupted_are_run_again_and_join_to_the_bytes_of_one_run(self):
        probe = self.cluster.run(PROGRAM, "assess", "survey", "-o", "probe", "--shard",
                                 f"2/{PARTS}", *OPTIONS)
        self.assertLessEqual(probe.returncode, 1, probe.stderr)
        whole_bytes = (self.root / "probe" / "results.journal").stat().st_size
        program = self.script("interrupted", INTERRUPTED.format(
            program=PROGRAM, root=self.root, patience=PATIENCE_S,
            blocks=whole_bytes // 2 // 1024))  # bash counts in 1024 bytes
        array, merge, _ = self.submit("out", program, *OPTIONS)

        self.assertEqual(self.cluster.ended(merge)["JobState"], "COMPLETED")
        for part in range(1, PARTS + 1):
            task = self.cluster.job(f"{array}_{part}")
            self.assertEqual((part, task["JobState"], task["Restarts"]), (part, "COMPLETED", "1"))
        self.assertIn("ended with exit status 137", self.log("out", "part-1"))
        self.assertIn("File too large", self.log("out", "part-2"))
        self.assertIn("ended with exit status 3", self.log("out", "part-2"))
        kept, of = self.motors_kept("out", "part-2")
        self.assertTrue(0 < kept < of, f"{kept} of {of}")
        self.assertIn("stopped before its time limit", self.log("out", "part-3"))

        self.assert_same_as_one_run("out/result")
        rechecked = self.cluster.run(PROGRAM, "recheck", "out/result")
        self.assertEqual(rechecked.returncode, 0, rechecked.stdout + rechecked.stderr)

    def test_a_part_that_fails_for_good_takes_the_merge_with_it_until_handed_in_again(self):
        broken = self.script("broken", f"""#!/bin/sh
[ "$SLURM_ARRAY_TASK_ID" != 2 ] || exit 3
exec "{PROGRAM}" "$@"
""")
        array, merge, _ = self.submit("failing", broken, *OPTIONS, parts=2)
        merging = self.cluster.ended(merge)
        self.assertEqual((merging["JobState"], merging["Reason"]),
                         ("CANCELLED", "DependencyNeverSatisfied"))
        failed = self.cluster.ended(f"{array}_2")
        self.assertEqual((failed["JobState"], failed["ExitCode"], failed["Restarts"]),
                         ("FAILED", "3:0", "3"))
        self.assertEqual(self.cluster.ended(f"{array}_1")["Restarts"], "0")
        self.assertIn("given up after 3 restarts", self.log("failing", "part-2"))

        _, merge, _ = self.submit("failing", PROGRAM, *OPTIONS, parts=2)
        self.assertEqual(self.cluster.ended(merge)["JobState"], "COMPLETED")
        kept, of = self.motors_kept("failing", "part-1")
        self.assertEqual(kept, of)
        self.assert_same_as_one_run("failing/result")

    def test_wrong_usage_is_not_run_again(self):
        array, merge, _ = self.submit("wrong", PROGRAM, "--reference", "loudest", parts=2)
        self.assertEqual(self.cluster.ended(merge)["JobState"], "CANCELLED")
        task = self.cluster.ended(f"{array}_1")
        self.assertEqual((task["JobState"], task["ExitCode"], task["Restarts"]),
                         ("FAILED", "2:0", "0"))

    def test_all_parts_count_from_one_day_where_none_is_given(self):
        _, merge, submitted = self.submit("today", PROGRAM, parts=2)
        self.assertRegex(submitted.stderr, r"added --as-of \d{4}-\d\d-\d\d")
        self.assertEqual(self.cluster.ended(merge)["JobState"], "COMPLETED")
        day = re.search(r"--as-of (\S+);", submitted.stderr).group(1)
        self.assertIn(day, (self.root / "today" / "result" / "manifest.json").read_text())

    def test_what_cannot_be_submitted_is_refused_with_the_reason(self):
        for arguments, reason in (
                (["survey", "refused"], "are needed"),
                (["nowhere", "refused", "2"], 'found "nowhere"'),
                (["survey", "refused", "1"], "2 or more"),
                (["survey", "refused", "two"], 'found "two"'),
                (["survey", "refused", "2", "--shard", "1/2"], "--shard is set by"),
                (["survey", "refused", "2", "--jobs=4"], "--jobs=4 is set by"),
                (["survey", "refused", "2", "-o", "there"], "-o is set by")):
            with self.subTest(arguments):
                refused = self.cluster.run(JOBS / "submit.sh", *arguments)
                self.assertEqual(refused.returncode, 2)
                self.assertIn(reason, refused.stderr)
                self.assertFalse((self.root / "refused").exists())

    def test_the_recipe_without_a_scheduler_gives_the_result_of_one_run(self):
        """The lines of docs/scale.md as they stand; the two machines are this one."""
        page = (SOURCE / "docs" / "scale.md").read_text()
        recipe = re.search(r"## Without a scheduler\n.*?```sh\n(.*?)```", page, re.S).group(1)
        plain = self.root / "plain"
        (plain / "bin").mkdir(parents=True)
        (plain / "survey").symlink_to(self.root / "survey")
        (plain / "bin" / "ohmglow").symlink_to(PROGRAM)
        self.script("plain/bin/ssh", '#!/bin/sh\necho "$1" >&2\nshift\nexec sh -c "$*"\n')
        done = self.cluster.run("sh", "-c", recipe.replace("/srv/plant", str(plain)),
                                PATH=f"{plain / 'bin'}:{os.environ['PATH']}")
        self.assertLessEqual(done.returncode, 1, done.stderr)
        self.assertTrue({"north", "south"} <= set(done.stderr.split()), done.stderr)
        one = self.cluster.run("sh", "-c", f'cd "{plain}" && bin/ohmglow assess survey '
                                           "-o one/result --as-of 2026-03-05")
        self.assertLessEqual(one.returncode, 1, one.stderr)
        self.assert_same("plain/one/result", "plain/parts/result")


if __name__ == "__main__":
    unittest.main(verbosity=2)
