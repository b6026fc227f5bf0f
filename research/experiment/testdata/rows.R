# Works the figures of an experiment out anew from its rows (the CSV file that ROWS names): prints name||count sum mean variance.
rows <- read.csv(Sys.getenv("ROWS"), na.strings = "")
figure <- function(name, x) {
  x <- x[!is.na(x)]
  cat(sprintf("%s||%d %.17g %.17g %.17g\n", name, length(x), sum(x), mean(x), var(x)))
}
ways <- sum(startsWith(names(rows), "value_"))
for (i in seq_len(ways)) {
  value <- rows[[paste0("value_", i)]]
  figure(paste("value", i), value)
  figure(paste("won", i), rows[[paste0("won_", i)]][!is.na(value)])
  figure(paste("points", i), rows[[paste0("points_", i)]][!is.na(value)])
  if (i > 1) {
    figure(paste("less", i), value - rows$value_1)
    figure(paste("differ", i), as.integer(value != rows$value_1))
  }
}
if ("inside" %in% names(rows)) {
  figure("inside", rows$value_1[which(rows$inside == 1)])
  figure("outside", rows$value_1[which(rows$inside == 0)])
}
figure("deal", rows$deal)
