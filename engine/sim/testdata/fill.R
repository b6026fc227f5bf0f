# Exact chances of what a seat cannot see, worked out by R for the tests of package sim.
# One line per case: name|inputs|outputs. The set has 152 tiles, 8 of them jokers, 8 flowers.

row <- function(name, inputs, outputs) {
  text <- function(x) paste(sprintf("%.17g", as.numeric(x)), collapse = " ")
  cat(name, "|", text(inputs), "|", text(outputs), "\n", sep = "")
}

# South holds 13 tiles with one joker and two flowers: 139 tiles are hidden, 7 jokers among them.
# Jokers of East, who holds 14 of them, 0 to 7.
row("jokers-east", 14, dhyper(0:7, 7, 132, 14))

# jokers (0..3 or more) and flowers (0..2 or more) of West's 13 tiles together
joint <- outer(0:7, 0:6, function(j, f) choose(7, j) * choose(6, f) * choose(126, 13 - j - f)) / choose(139, 13)
cut <- rbind(joint[1:3, ], colSums(joint[4:8, ]))
cut <- cbind(cut[, 1:2], rowSums(cut[, 3:7]))
row("jokers-flowers-west", 13, as.vector(t(cut)))

# South gave West three tiles that West still holds: of the other 136 hidden tiles ten go to West
row("jokers-west-given", 10, dhyper(0:7, 7, 129, 10))

# and the wall of 99 tiles has so many jokers, cut to 2 or fewer, 3, 4, 5, 6, 7
wall <- dhyper(0:7, 7, 129, 99)
row("jokers-wall-given", 99, c(sum(wall[1:3]), wall[4:8]))
