# Reference values for the tests of package goodness, worked out by R.
# One line per case: name|inputs|outputs, numbers separated by spaces.
# The test runs this file; nothing it prints is stored.

row <- function(name, inputs, outputs) {
  text <- function(x) paste(sprintf("%.17g", as.numeric(x)), collapse = " ")
  cat(name, "|", text(inputs), "|", text(outputs), "\n", sep = "")
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
