"""The load path drawing and the charts: values to SVG text."""
