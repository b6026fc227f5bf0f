# Reference values for the tests of package stat, worked out by R.
# One line per case: name|inputs|outputs, numbers separated by spaces.
# The test runs this file; nothing it prints is stored.

row <- function(name, inputs, outputs) {
  text <- function(x) paste(sprintf("%.17g", as.numeric(x)), collapse = " ")
  cat(name, "|", text(inputs), "|", text(outputs), "\n", sep = "")
}

counts <- list(c(0, 1), c(1, 1), c(0, 20), c(1, 29), c(3, 10), c(10, 100), c(13, 16),
               c(20, 20), c(15, 148), c(81, 263), c(700, 1000), c(999, 1000),
               c(2500, 10000), c(31, 100000), c(123456, 1000000))
for (x in counts) {
  exact <- binom.test(x[1], x[2])
  row("clopper-pearson", x, c(exact$estimate, exact$conf.int))
  # prop.test warns that its p-value is poor for small counts; the interval is exact.
  score <- suppressWarnings(prop.test(x[1], x[2], correct = FALSE))
  row("wilson", x, c(score$estimate, score$conf.int))
}

samples <- list(
  list(c(3, 5), c(2, 2)),
  list(c(25, -10, -10, 0, 50), c(25, -5, -10, 0, 25)),
  list((1:40)^2 %% 17, (1:40)^3 %% 13),
  list(1e6 + (1:1000) %% 7, (1:1000) %% 5),
  list((1:20000)^2 %% 101, (1:20000) %% 97))
for (s in samples) {
  test <- t.test(s[[1]], s[[2]], paired = TRUE)
  d <- s[[1]] - s[[2]]
  row("paired-t", c(s[[1]], s[[2]]), c(mean(d), test$conf.int, sd(d), sd(d) / sqrt(length(d))))
}
for (s in samples) {
  for (alpha in c(0.05, 0.025, 0.05 / 12)) {
    test <- t.test(s[[1]], s[[2]], conf.level = 1 - alpha)
    row("welch", c(alpha, length(s[[1]]), s[[1]], s[[2]]), c(mean(s[[1]]) - mean(s[[2]]), test$conf.int))
  }
}
row("float-t", sqrt(1:50), c(mean(sqrt(1:50)), t.test(sqrt(1:50))$conf.int, var(sqrt(1:50))))

# The ratio of the likelihoods of normal samples under two means, their variance the sample's.
for (x in list((1:200)^2 %% 17, (1:1000)^3 %% 13 - 6, rep(c(-4, 0, 4, 8), 50))) {
  for (bounds in list(c(0, 1), c(-0.5, 0.25), c(7, 9))) {
    ratio <- sum(dnorm(x, bounds[2], sd(x), log = TRUE) - dnorm(x, bounds[1], sd(x), log = TRUE))
    row("sequential-ratio", c(bounds, x), ratio)
  }
}

values <- list(c(4), c(0, 3), c(2, 2, 5, 9, 0, 1), (1:101) %% 12, (1:250)^2 %% 31)
for (v in values) {
  row("histogram", v, c(mean(v), median(v), sum(v <= 4),
                        quantile(v, c(0, 5, 7, 25, 50, 75, 93, 95, 100) / 100, type = 1)))
}

for (deck in list(c(8, 152, 13), c(16, 152, 52), c(4, 99, 14), c(10, 12, 7), c(0, 152, 13), c(76, 152, 76))) {
  for (k in 0:deck[3]) {
    good <- deck[1]; rest <- deck[2] - deck[1]; drawn <- deck[3]
    row("hypergeometric", c(k, deck),
        c(dhyper(k, good, rest, drawn), phyper(k, good, rest, drawn),
          phyper(k - 1, good, rest, drawn, lower.tail = FALSE)))
  }
}

pools <- list(list(c(1, 0, 2), c(4, 8, 4)), list(c(13, 0), c(144, 8)),
              list(rep(1, 13), rep(4, 13)), list(c(300, rep(0, 9)), rep(300, 10)))
for (p in pools) {
  row("multi-hypergeometric", c(p[[1]], p[[2]]),
      sum(lchoose(p[[2]], p[[1]])) - lchoose(sum(p[[2]]), sum(p[[1]])))
}

# Each case: observed, expected, and the cells as pooled by hand.
fits <- list(
  list(c(44, 56), c(50, 50), list(1, 2)),
  list(c(16, 18, 16, 14, 12, 12), rep(88 / 6, 6), list(1, 2, 3, 4, 5, 6)),
  list(c(33, 18, 2, 6, 1, 40), c(30, 20, 4, 3, 2, 41), list(1, 2, 6, 3:5)),
  list(c(50, 30, 3, 2, 10), c(50, 30, 1, 2, 12), list(1, 2, 3:5)),
  list(c(700, 200, 100), c(600, 250, 150), list(1, 2, 3)))
for (f in fits) {
  seen <- sapply(f[[3]], function(i) sum(f[[1]][i]))
  due <- sapply(f[[3]], function(i) sum(f[[2]][i]))
  test <- chisq.test(seen, p = due / sum(due))
  row("chi-square", c(f[[1]], f[[2]]), c(test$statistic, test$parameter, test$p.value))
}

# Hosmer and Lemeshow's statistic as Pearson's over both outcomes of each tenth: of a logistic regression, whose fit uses
# up two, and of chances given beforehand.
for (n in c(200, 1000)) {
  x <- ((1:n)^2 %% 97) / 97
  y <- as.integer(((1:n)^3 %% 89) / 89 < 0.2 + 0.5 * x^3)
  tenth <- ceiling(rank(x, ties.method = "first") * 10 / n)
  for (p in list(fitted(glm(y ~ x, family = binomial)), 0.15 + 0.6 * x)) {
    freedom <- if (n == 200) 8 else 10
    seen <- tapply(y, tenth, sum); due <- tapply(p, tenth, sum); size <- tapply(p, tenth, length)
    statistic <- sum((seen - due)^2 / due) + sum(((size - seen) - (size - due))^2 / (size - due))
    row("hosmer-lemeshow", c(10 - freedom, size, due, seen), c(statistic, freedom, pchisq(statistic, freedom, lower.tail = FALSE)))
  }
}

for (s in list(list(c(1, 4, 9), c(0, 4, 5, 7)), list((1:60) %% 7, (1:80)^2 %% 9), list(c(3), c(1, 2)))) {
  w <- suppressWarnings(wilcox.test(s[[1]], s[[2]]))$statistic
  row("auc", c(length(s[[1]]), s[[1]], s[[2]]), w / (length(s[[1]]) * length(s[[2]])))
}
