"""What the tests of a lesson begin with. Each test file names the lesson's module `lesson`."""

import pytest
from lesson_tests import at_first


@pytest.fixture(scope="module")
def started(request):
    """What the lesson begins with: (bench, question)."""
    return request.module.lesson.begin()


@pytest.fixture
def bench(started):
    return at_first(started[0])
