"""Pure computation for patchwork cutting: outlines, allowances, layouts, tool paths, plans.

Conventions of all modules in this package:

- lengths are millimetres and angles are radians; a name that holds anything else says so
  (``width_in``, ``turn_deg``);
- y points up; an outer outline runs counter-clockwise, a hole clockwise is never stored: holes
  are stored counter-clockwise too and their role is given by where they are kept;
- a positive sweep or bulge turns counter-clockwise, a positive distance makes a piece larger;
- values are frozen; functions return new ones; equality is exact and closeness is always a
  named function with a stated tolerance;
- no input or output, no clock, no environment and no global randomness.
"""
