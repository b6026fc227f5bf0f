# Works the figures of an experiment out anew from its rows (the CSV file that ROWS names): prints name||count sum mean variance.
rows <- read.csv(Sys.getenv("ROWS"), na.strings = "")
figure <- function(name, x) {
  x <- x[!is.na(x)]
  cat(sprintf("%s||%d %.17g %.17g %.17g\n", name, length(x), sum(x), mean(x), var(x)))
}
ways <- sum(startsWith(names(rows), "value_"))
measures <- unique(sub("value", "", sub("_.*", "", grep("^value", names(rows), value = TRUE))))
for (m in measures) for (i in seq_len(ways)) {
  value <- rows[[paste0("value", m, "_", i)]]
  figure(paste0("value", m, " ", i), value)
  figure(paste0("won", m, " ", i), rows[[paste0("won_", i)]][!is.na(value)])
  figure(paste0("points", m, " ", i), rows[[paste0("points_", i)]][!is.na(value)])
  for (j in seq_len(i - 1)) {
    other <- rows[[paste0("value", m, "_", j)]]
    figure(paste0("less", m, " ", i, " ", j), value - other)
    figure(paste0("differ", m, " ", i, " ", j), as.integer(value != other))
  }
}
if ("inside" %in% names(rows)) {
  figure("inside", rows$value_1[which(rows$inside == 1)])
  figure("outside", rows$value_1[which(rows$inside == 0)])
}
figure("deal", rows$deal)
