# The reduction of a long log with R and data.table, in one thread, by the rules of etabench; see
# reduce_pandas.py for what is asked of the log and for the figures.
#
#     Rscript reduce.R LOG

suppressPackageStartupMessages(library(data.table))
setDTthreads(1)

polynomial <- function(coefficients, t) {
    t <- t / 100
    value <- coefficients[length(coefficients)]
    for (c in rev(coefficients)[-1]) value <- value * t + c
    value
}
density <- c(999.84772, 6.3031255, -84.223229, 66.980483, -42.549435, 12.014113)
enthalpy <- c(0, 421927.08, -16327.672, 33646.083, -38368.239, 24613.539, -6386.5922)

log <- fread(commandArgs(TRUE)[1], tz = "UTC", showProgress = FALSE,
             col.names = c("time", "g", "air", "t_in", "t_out", "flow", "wind", "diffuse"))
stopifnot("the log has a gap: not handled here" = all(diff(as.numeric(log$time)) == 1))
log[, heat := polynomial(density, t_in) * flow / 60000 *
        (polynomial(enthalpy, t_out) - polynomial(enthalpy, t_in))]

n <- nrow(log) %/% 30
starts <- log$time[seq(1, by = 30, length.out = n)]
slots <- lapply(log[seq_len(30 * n), -"time"], function(v) colMeans(matrix(v, 30)))
mean <- lapply(slots, frollmean, 20)

# Largest and smallest of the last m values, by joining stretches of doubled length.
extreme <- function(v, m, pick) {
    have <- 1
    while (have < m) {
        step <- min(have, m - have)
        v <- pick(v, shift(v, step))
        have <- have + step
    }
    v
}
deviation <- function(channel, m) {
    v <- slots[[channel]]
    pmax(extreme(v, m, pmax) - mean[[channel]], mean[[channel]] - extreme(v, m, pmin))
}

more <- 1 + 1e-9 # what arithmetic may miss a limit by
less <- 1 - 1e-9
good <- deviation("g", 50) <= 50 * more & deviation("air", 50) <= 1.5 * more &
    deviation("t_in", 50) <= 0.1 * more & deviation("t_out", 20) <= 0.5 * more &
    deviation("flow", 50) <= 0.01 * mean$flow * more &
    mean$g >= 700 * less & mean$t_out - mean$t_in >= less &
    mean$wind >= 2 * less & mean$wind <= 4 * more & mean$diffuse <= 0.3 * mean$g * more
last <- integer()
free <- 1
for (i in which(good))
    if (i - 19 >= free) {
        last <- c(last, i)
        free <- i + 1
    }
at <- lapply(mean, `[`, last)
eta <- at$heat / (2.05 * at$g)
x <- ((at$t_in + at$t_out) / 2 - at$air) / at$g
fit <- .lm.fit(cbind(1, -x), eta)$coefficients
writeLines(format(starts[last - 19], "%Y-%m-%dT%H:%M:%SZ", tz = "UTC"))
writeLines(sprintf("line %.10f %.10f", fit[1], fit[2]))
