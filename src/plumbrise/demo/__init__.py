"""The invented scenario: machine, owner, workshop, and readings from an independent simulator."""

from plumbrise.demo.scenario import Scenario, scenario

__all__ = ["Scenario", "scenario"]
