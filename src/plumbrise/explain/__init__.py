"""Causes, sets of causes, evidence, shares of loss, the next test."""
