// Package goodness tells tests whether what was counted fits what is to be expected: distributions of draws without return,
// which are exact, and Pearson's chi-square test. Only tests import it.
package goodness
