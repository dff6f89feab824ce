"""What is said of an account."""

from castlab.field.diagnosis import diagnose
from castlab.teach.text.sentence import sentence
from castlab.units import METRIC


def said(account, units=METRIC):
    """The sentence about an account."""
    return sentence(diagnose(account), units)
