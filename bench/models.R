# Times mixed models in R, without its start: Rscript models.R <folder>; reads sets.csv (name, formula, tests) and <name>.csv there.
suppressPackageStartupMessages({
  library(lme4)
  library(pbkrtest)
})
folder <- commandArgs(trailingOnly = TRUE)[1]
jobs <- read.csv(file.path(folder, "sets.csv"), colClasses = "character")
now <- function() as.numeric(Sys.time())
middle <- function(work, runs) {
  work()
  median(sapply(seq_len(runs), function(k) {
    start <- now()
    work()
    now() - start
  }))
}
for (k in seq_len(nrow(jobs))) {
  data <- read.csv(file.path(folder, paste0(jobs$name[k], ".csv")), colClasses = "character")
  data$y <- as.numeric(data$y)
  formula <- as.formula(jobs$formula[k])
  fit <- function() lmer(formula, data, contrasts = list(system = "contr.sum", slurry = "contr.sum"))
  fitting <- middle(fit, 5)
  m <- fit()
  assigned <- attr(getME(m, "X"), "assign")
  tests <- NaN
  if (jobs$tests[k] == "yes") {
    start <- now()
    for (term in unique(assigned[assigned > 0])) KRmodcomp(m, diag(length(assigned))[assigned == term, , drop = FALSE])
    tests <- now() - start
  }
  cat("\n", fitting, tests, "\n")
}
