"""From a load to the strokes and stops that cut it, one module a step, plan to plan."""
