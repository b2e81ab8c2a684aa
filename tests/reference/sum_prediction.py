"""Makes sum_prediction.csv and sum_prediction_inputs.csv: the predictive distribution of a sum to
come, by numpy 2.4.6 and scipy 1.17.1, run in this folder.

The formula is the description in src/stat/prediction.rs, written down here anew: the largest of
the variances by single amounts and by stretches, raised by (t / z)^2; then scipy.stats.betaprime
(J. Aitchison and I. R. Dunsmore, Statistical Prediction Analysis, 1975, chapter 2).
"""
import csv

import numpy as np
from scipy import stats

rng = np.random.default_rng(20261130)


def prediction(days, amounts):
    at = np.array([a for a, _ in amounts])
    x = np.array([b for _, b in amounts], float)
    n = max((days + 14) // 28, min(6, days // 14))

    def by(stretches):
        sums = np.zeros(stretches)
        np.add.at(sums, at * stretches // days, x)
        return stretches * sums.var(ddof=1)

    variance, freedom = by(n), n - 1
    for times in (2, 3, 4):
        longer = (n + times // 2) // times
        if longer >= 3 and by(longer) > variance:
            variance, freedom = by(longer), max(longer - 1, 4)
    single = (x * x).sum()
    if single >= variance:
        variance, freedom = single, max(freedom, min(30, (x > 0).sum() // 3))
    factor = stats.t.ppf(0.95, freedom) / stats.norm.ppf(0.95)
    return x.sum(), x.sum() ** 2 / variance / factor ** 2


def cases():
    for name, days, every, shape, jobs in [
        ("year with even work", 365, 0.5, 0.8, 0.0),
        ("year with few shifts", 365, 0.1, 0.8, 0.0),
        ("three months", 91, 0.6, 1.5, 0.0),
        ("year with work by jobs", 365, 0.5, 0.8, 0.9),
        ("half a year with large doses", 181, 0.4, 0.3, 0.0),
    ]:
        amounts, level = [], 1.0
        for day in range(days):
            if day % 56 == 0:
                level = float(np.exp(rng.normal(0, jobs)))
            if rng.random() < every:
                amounts.append((day, int(round(rng.gamma(shape, 30 / shape) * level))))
        yield name, days, amounts


with open("sum_prediction.csv", "w") as found, open("sum_prediction_inputs.csv", "w") as given:
    inputs = csv.writer(given, lineterminator="\n")
    out = csv.writer(found, lineterminator="\n")
    inputs.writerow("case,day,amount".split(","))
    out.writerow("case,days,ahead,room,above,q05,q50,q95".split(","))
    for name, days, amounts in cases():
        inputs.writerows([name, day, amount] for day, amount in amounts)
        total, shape = prediction(days, amounts)
        for ahead in (7, 90, 270):
            come = stats.betaprime(shape * ahead / days, shape)
            for times in (0.5, 1.0, 2.0):
                room = round(total * ahead / days * times)
                out.writerow(
                    [name, days, ahead, room, repr(float(come.sf(room / total)))]
                    + [repr(float(total * come.ppf(p))) for p in (0.05, 0.5, 0.95)]
                )
