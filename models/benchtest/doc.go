// Package benchtest serves benchmarks of the intake: a floor that scans, and
// two ways to write the same rows that the intake is measured against in the
// same run. Machines are noisy; ratios carry over.
package benchtest
