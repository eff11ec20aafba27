"""The invented outfit: eighteen months of acts made through the door, with a fixed seed and an anchor day.

Everything in it is made up, and its first entry says so. The anchor day stands in that entry: filling it again reads
it from there, sends the very same acts, and so changes nothing.
"""

from registry.demo.fill import PASSWORD, PIN, SIGN_INS, fill

__all__ = ["PASSWORD", "PIN", "SIGN_INS", "fill"]
