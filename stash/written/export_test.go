package written

// PackageWords are the words for packages that are understood.
func PackageWords() []string {
	var words []string
	for word := range packages {
		words = append(words, word)
	}
	return words
}
