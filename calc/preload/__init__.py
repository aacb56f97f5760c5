"""How much: torque, preload and the target."""
