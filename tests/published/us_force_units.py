"""Factors of force and stress to work a source's figures in its own units.

Source: NIST SP 811 (2008), B.8: 1 lbf = 4.448 221 615 260 5 N exactly; 1 psi = that over
(0.0254 m)^2; from memory, high confidence.  Apart from the code's own factors on purpose.
"""

KN_PER_KIP = 4.4482216152605
MPA_PER_KSI = 6.894757293168361
