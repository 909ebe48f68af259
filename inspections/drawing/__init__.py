"""The product's own graphics: drawn once, shown on pages as SVG and on paper as PDF.

``strips.travel_strip``, ``elevation.elevation_strip`` and ``chart.expected_chart`` return a
``shapes.Drawing``; ``svg.to_svg`` and ``pdf.to_pdf`` show it.
"""
