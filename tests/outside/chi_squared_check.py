"""Chi squared gates against scipy.stats.chi2 (SciPy reference guide, from the Cephes library)."""

import scipy.stats
from values import expect, values

rows = values("chi_squared")
expect(len(rows) > 50, "too few values to compare")
worst = 0.0
for row in rows:
    degrees, probability, quantile = row["degrees"], row["probability"], row["quantile"]
    # Near 1 the upper tail holds the digits of the probability.
    expected = (scipy.stats.chi2.ppf(probability, degrees) if probability < 0.5
                else scipy.stats.chi2.isf(1.0 - probability, degrees))
    worst = max(worst, abs(quantile / expected - 1.0))
    expected = scipy.stats.chi2.cdf(0.5 * quantile, degrees)
    worst = max(worst, abs(row["at_half"] / expected - 1.0))
print(f"{len(rows)} gates, largest relative difference {worst:.1e}")
expect(worst < 1e-9, "gates differ from scipy.stats.chi2")
