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

for (s in list(list(c(1, 4, 9), c(0, 4, 5, 7)), list((1:60) %% 7, (1:80)^2 %% 9), list(c(3), c(1, 2)))) {
  w <- suppressWarnings(wilcox.test(s[[1]], s[[2]]))$statistic
  row("auc", c(length(s[[1]]), s[[1]], s[[2]]), w / (length(s[[1]]) * length(s[[2]])))
}

# An interval that stays valid, for normal observations of unknown spread: where the ratio of the density of Student's t, with
# a normal prior of its noncentrality, to that without one is 1 over the level.
for (s in list(list((1:12)^2 %% 7, 16, 1), list((1:40)^3 %% 11, 64, 20), list((1:200)^2 %% 17, 100, 364))) {
  x <- s[[1]]; n <- length(x); alpha <- 0.05 / s[[3]]
  l <- log(1 / alpha)
  c2 <- (2 * l + log1p(2 * l)) / s[[2]]
  excess <- function(t) {
    mixed <- integrate(function(d) dt(t, n - 1, ncp = d * sqrt(n)) * dnorm(d, 0, sqrt(c2)), -10 * sqrt(c2), 10 * sqrt(c2), rel.tol = 1e-10, subdivisions = 1000)$value
    log(mixed / dt(t, n - 1)) - l
  }
  t <- uniroot(excess, c(0.1, 30), tol = 1e-10)$root
  row("student-cs", c(s[[2]], s[[3]], x), c(mean(x) - t * sd(x) / sqrt(n), mean(x) + t * sd(x) / sqrt(n)))
}
