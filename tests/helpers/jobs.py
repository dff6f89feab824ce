"""Small functions for other processes to run; their module loads fast, as a worker's should."""

import os
import threading
import time


def square(number):
    return number * number


def nap(seconds):
    time.sleep(seconds)
    return os.getpid()


def die():
    os._exit(3)


def nothing_portable():
    raise Unportable(threading.Lock())


def give_a_lock():
    return threading.Lock()


class Unportable(Exception):
    pass
