// Package written reads numbers, dates and prices as people write them, in
// options, sheets, labels and at prompts alike. What can be read in two ways is
// refused, with what to write instead; nothing is guessed.
package written
