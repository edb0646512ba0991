#!/usr/bin/python3
"""Numbers of statistics that tests/solver/test_prior_fit.cpp compares with, by numpy and scipy (Debian 12: 1.24, 1.10).

    python3 statistics.py

Distributions; a linear model with priors (mean, covariance, scatter factor, singular values); the same with two marks,
where the largest posterior density is found by a general minimiser.
"""
import numpy as np
from scipy import optimize, stats

print("# t quantiles: share, degrees, value")
for share, degrees in [(0.95, 1.0), (0.95, 2.5), (0.975, 4.0), (0.995, 30.0), (0.05, 7.3), (0.95, np.inf)]:
    print(share, degrees, repr(float(stats.t.ppf(share, degrees))))
print("# ln of the normal distribution function: z, value")
for z in [2.0, 0.0, -3.0, -9.9, -10.1, -40.0]:
    print(z, repr(float(stats.norm.logcdf(z))))

J = np.array([[0.30, 0.05, -0.02], [0.25, 0.11, -0.05], [0.41, -0.03, 0.01], [0.02, 0.00, 0.09], [0.33, 0.21, 0.00], [0.10, 0.07, 0.06]])
b = np.array([1.0, 2.0, 0.5, -1.0, 0.0, 3.0])
y = np.array([1.16, 2.09, 0.74, -0.98, 0.12, 3.10])
sigma = np.array([0.05, 0.05, 0.04, 0.01, 0.05, 0.02])
mean = np.array([0.2, -0.1, 0.4])
tau = np.array([0.9, 0.46, 1.1])
P = np.diag(tau**-2)
A = J / sigma[:, None]


def solve(s):
    H = A.T @ A / s**2 + P
    C = np.linalg.inv(H)
    phi = C @ (A.T @ ((y - b) / sigma) / s**2 + P @ mean)
    gamma = np.trace(C @ A.T @ A) / s**2
    rest = np.sum(((y - b - J @ phi) / sigma) ** 2)
    return phi, C, gamma, rest


print("# known scatter: estimate, covariance, told")
phi, C, gamma, rest = solve(1.0)
print(repr(phi.tolist()), repr(C.tolist()), repr(float(gamma)))
nu0 = 2.0
s = optimize.brentq(lambda s: s**2 - (nu0 + solve(s)[3]) / (nu0 + len(y) - solve(s)[2]), 0.1, 10.0, xtol=1e-14)
phi, C, gamma, rest = solve(s)
by_data = C @ (A.T @ A / s**2) @ C
nu = nu0 + len(y) - gamma
print("# scatter from the residuals: s, estimate, spreads, degrees, singular values")
print(repr(float(s)), repr(phi.tolist()), repr(np.sqrt(np.diag(C)).tolist()),
      repr((nu / (np.diag(by_data) / np.diag(C)) ** 2).tolist()),
      repr(np.linalg.svd(A / s @ np.diag(tau), compute_uv=False).tolist()))

K = np.array([[0.05, 0.30, 0.00], [0.20, -0.25, 0.10]])  # of two marks: seen full, seen short, forecast 0.95 and 1.01 at phi = 0


def total(phi):
    full, short = np.array([0.95, 1.01]) + K @ phi
    return (np.sum(((y - b - J @ phi) / sigma) ** 2) + np.sum(((phi - mean) / tau) ** 2)
            - 2 * stats.norm.logcdf((full - 0.98) / 0.03) - 2 * stats.norm.logcdf((0.98 - short) / 0.03))


best = optimize.minimize(total, mean, method="BFGS", options={"gtol": 1e-10})
print("# with marks: estimate, least sum")
print(repr(best.x.tolist()), repr(float(best.fun)))
