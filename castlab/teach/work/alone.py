"""One thing at a time: the lock that all benches, panels and deliveries of answers share."""

import functools
import threading

LOCK = threading.RLock()


def alone(method):
    """Let a method run only while nothing else happens on any bench."""

    @functools.wraps(method)
    def locked(*args, **options):
        with LOCK:
            return method(*args, **options)

    return locked
