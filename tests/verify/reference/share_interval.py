#!/usr/bin/python3
"""Reference numbers of tests/solver/test_share_interval.cpp and test_latin_hypercube.cpp, made once with SciPy 1.10.1
(Debian 12, package python3-scipy); neither the program nor its tests need it.

Usage: share_interval.py
"""
import numpy
from scipy.stats import binomtest, qmc

print("good, n, confidence, low, high")
for good, n, confidence in [(0, 10, 0.95), (1, 10, 0.95), (5, 10, 0.95), (10, 10, 0.95), (36, 40, 0.95), (40, 40, 0.95),
                            (173, 200, 0.99), (1, 1, 0.9), (999, 1000, 0.95)]:
    interval = binomtest(good, n).proportion_ci(confidence, method="exact")
    print(f"{{{good}, {n}, {confidence}, {interval.low:.15g}, {interval.high:.15g}}},")

# Centred discrepancy, squared as SciPy returns it, of Latin hypercubes and of random points, mean over
# many of them: 20 points along 3 axes.
points, axes, trials = 20, 3, 4000
lhs = [qmc.discrepancy(qmc.LatinHypercube(axes, seed=k).random(points)) for k in range(trials)]
mean = sum(lhs) / trials
spread = (sum((x - mean) ** 2 for x in lhs) / trials) ** 0.5
print(f"Latin hypercube: mean {mean:.6f}, standard deviation {spread:.6f}")
random = [qmc.discrepancy(numpy.random.default_rng(k).random((points, axes))) for k in range(trials)]
print(f"random points: mean {sum(random) / trials:.6f}")
