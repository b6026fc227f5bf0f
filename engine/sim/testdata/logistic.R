# Logistic regression of winning on the logarithm of the worth, by glm. Prints name|worths and wins|coefficients,
# their standard errors, the correlation of fitted chance and winning, and the area under the curve.
set.seed(5)
for (n in c(40, 300)) {
  worth <- round(exp(rnorm(n, -2, 1.2)), 4)
  won <- rbinom(n, 1, 1 / (1 + exp(-(0.4 + 0.8 * log(worth)))))
  fit <- glm(won ~ log(worth), family = binomial, control = list(epsilon = 1e-14, maxit = 100))
  s <- summary(fit)$coefficients
  auc <- (sum(rank(worth)[won == 1]) - sum(won) * (sum(won) + 1) / 2) / (sum(won) * sum(1 - won))
  out <- c(s[, 1], s[, 2], cor(fitted(fit), won), auc)
  cat("logistic|", paste(c(worth, won), collapse = " "), "|", paste(sprintf("%.9f", out), collapse = " "), "\n", sep = "")
}
