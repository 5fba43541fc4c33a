"""The signal: circuits, formulas, rules, flow, loops, figures."""
