"""Faults: touch voltages of an earth fault, a broken PEN, loops, electrodes and times."""
