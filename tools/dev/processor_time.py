"""Processor time of a command."""
import resource
import subprocess


def timed(command, **options):
    """Runs a command to its end; processor time [s] of it and of what it waited for. A failure is an exception."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, **options)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
