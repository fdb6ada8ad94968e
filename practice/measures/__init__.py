"""Pure computing over one student's numbers. No Django; arrays in, frozen dataclasses out.

Every public function says shapes, units, errors and source. Too little data is an
answer (`TooLittle`), bad data an error (`BadData`).
"""
