"""The axis model: how a screw-raised gantry moves."""
