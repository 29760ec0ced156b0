# Fits every model of a list with R and writes what it finds, one figure a line.
#
# Rscript models.R <folder> reads sets.csv (set, terms, random, residual, means, covariates; names of columns) and
# <set>.csv from the folder, and writes found.csv (set, kind, name, value) and versions.txt there.
needed <- c("lme4", "lmerTest", "pbkrtest", "emmeans", "nlme")
missing <- needed[!sapply(needed, requireNamespace, quietly = TRUE)]
if (length(missing)) {
  cat("R lacks", paste(missing, collapse = ", "))
  quit(status = 3)
}
suppressPackageStartupMessages({
  library(lme4)
  library(lmerTest)
  library(pbkrtest)
  library(emmeans)
  library(nlme)
})
options(contrasts = c("contr.sum", "contr.poly"), warn = -1)
emm_options(lmer.df = "kenward-roger", pbkrtest.limit = 1e6, msg.interaction = FALSE, msg.nesting = FALSE)

# The search ends early unless it is told not to.
sharp <- lmerControl(
  optimizer = "bobyqa", optCtrl = list(rhobeg = 0.2, rhoend = 1e-11, maxfun = 100000), calc.derivs = FALSE,
  check.conv.singular = "ignore", check.nobs.vs.nlev = "ignore", check.nobs.vs.nRE = "ignore"
)

parts <- function(text) if (is.na(text) || text == "") character(0) else strsplit(text, ";", fixed = TRUE)[[1]]
line <- function(set, kind, name, value) {
  data.frame(set = set, kind = kind, name = name, value = sprintf("%.17g", value))
}

# Restricted likelihoods depend on how the fixed columns are coded; this takes one to columns counted from the first label.
recoded <- function(found, formula, data, factors) {
  first <- model.matrix(formula, data, contrasts.arg = sapply(factors, function(f) "contr.treatment", simplify = FALSE))
  sums <- model.matrix(formula, data)
  as.numeric(found) + as.numeric(determinant(qr.solve(first, sums))$modulus)
}

one <- function(job, folder) {
  set <- job$set
  data <- read.csv(file.path(folder, paste0(set, ".csv")), colClasses = "character")
  data$y <- as.numeric(data$y)
  covariates <- parts(job$covariates)
  for (name in covariates) data[[name]] <- as.numeric(data[[name]]) - mean(as.numeric(data[[name]]))
  for (name in setdiff(names(data), c("y", covariates))) data[[name]] <- factor(data[[name]], sort(unique(data[[name]]), method = "radix"))
  terms <- parts(job$terms)
  fixed <- reformulate(if (length(terms)) terms else "1", "y")
  factors <- setdiff(all.vars(fixed)[-1], covariates)
  if (!is.na(job$residual) && job$residual != "") {
    # readings that scatter more in some groups: nested random terms only, no tests
    m <- lme(fixed, data,
      random = as.formula(paste("~ 1 |", job$random)), weights = varIdent(form = as.formula(paste("~ 1 |", job$residual))),
      control = lmeControl(
        msTol = 1e-12, tolerance = 1e-12, returnObject = TRUE, maxIter = 500, msMaxIter = 500, niterEM = 100, opt = "nlminb"
      )
    )
    size <- sigma(m) * coef(m$modelStruct$varStruct, unconstrained = FALSE, allCoef = TRUE)
    between <- suppressWarnings(as.numeric(VarCorr(m)[, "Variance"]))
    between <- between[!is.na(between)]
    names(between) <- c(if (grepl("/", job$random)) c(sub("/.*", "", job$random), sub("/", ":", job$random)) else job$random, "-")
    between <- between[names(between) != "-"]
    return(rbind(
      line(set, "variance", c(names(between), paste("residual", names(size))), c(between, size^2)),
      line(set, "likelihood", "", recoded(logLik(m, REML = TRUE), fixed, data, factors))
    ))
  }
  random <- parts(job$random)
  full <- as.formula(paste(deparse1(fixed), paste0(" + (1 | ", random, ")", collapse = "")))
  m <- lme4::lmer(full, data, control = sharp)
  found <- as.data.frame(VarCorr(m))
  out <- list(
    line(set, "variance", ifelse(found$grp == "Residual", "residual", found$grp), found$vcov),
    line(set, "likelihood", "", recoded(logLik(m), fixed, data, factors))
  )
  assigned <- attr(getME(m, "X"), "assign")
  labels <- attr(terms(fixed), "term.labels")
  # degrees of freedom after Satterthwaite depend on the differences that a test is made of; here from the first label
  first <- sapply(factors, function(f) "contr.treatment", simplify = FALSE)
  other <- as_lmerModLmerTest(lme4::lmer(full, data, control = sharp, contrasts = first))
  every <- anova(other, type = 3)
  within <- attr(terms(fixed), "factors")[-1, , drop = FALSE] > 0
  for (number in seq_along(labels)) {
    rows <- diag(length(assigned))[assigned == number, , drop = FALSE]
    kr <- KRmodcomp(m, rows)$test["Ftest", ]
    wider <- colSums(within & within[, number]) == sum(within[, number])
    sw <- if (sum(wider) > 1) every[labels[number], ] else contestMD(other, rows, ddf = "Satterthwaite")
    out <- c(out, list(
      line(set, paste("kenward-roger", c("f", "df", "rest", "p")), labels[number], unlist(kr[c("stat", "ndf", "ddf", "p.value")])),
      line(set, paste("satterthwaite", c("f", "rest", "p")), labels[number], unlist(sw[c("F value", "DenDF", "Pr(>F)")]))
    ))
  }
  grid <- if (length(parts(job$means))) ref_grid(m)
  for (wanted in parts(job$means)) {
    names <- strsplit(wanted, ":", fixed = TRUE)[[1]]
    said <- as.data.frame(emmeans(grid, names))
    cell <- do.call(paste, c(lapply(said[names], as.character), sep = ":"))
    out <- c(out, list(
      line(set, paste("mean of", wanted), cell, said$emmean),
      line(set, paste("error of", wanted), cell, said$SE),
      line(set, paste("freedom of", wanted), cell, said$df)
    ))
  }
  do.call(rbind, out)
}

folder <- commandArgs(trailingOnly = TRUE)[1]
jobs <- read.csv(file.path(folder, "sets.csv"), colClasses = "character")
found <- parallel::mclapply(seq_len(nrow(jobs)), function(k) {
  tryCatch(one(jobs[k, ], folder), error = function(e) {
    data.frame(set = jobs$set[k], kind = "failed", name = gsub("[\r\n,\"]", " ", conditionMessage(e)), value = "nan")
  })
}, mc.cores = 2)
write.csv(do.call(rbind, found), file.path(folder, "found.csv"), row.names = FALSE)
writeLines(
  paste("R", getRversion(), "with", paste(needed, sapply(needed, function(p) as.character(packageVersion(p))), collapse = ", ")),
  file.path(folder, "versions.txt")
)
