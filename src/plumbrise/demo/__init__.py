"""The invented scenario: machine, owner, workshop, and readings from an independent simulator."""
