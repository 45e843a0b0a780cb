package search

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkFind looks for a scarf among ever more packages of a quarter as many
// yarns, with a warp of one colour and of up to two.
func BenchmarkFind(b *testing.B) {
	for _, n := range []int{1_000, 2_000, 10_000, 100_000} {
		shelf := randomShelf(rand.New(rand.NewPCG(1, 1)), n/4, n)
		for colours := 1; colours <= 2; colours++ {
			b.Run(fmt.Sprintf("packages=%d/colours=%d", n, colours), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					r, err := Find(context.Background(), shelf,
						Query{Kind: usualKind("scarf"), Colours: colours, Weights: usualWeights,
							Rest: 25_000})
					if err != nil || len(r.Answers) != 10 {
						b.Fatal(err, len(r.Answers))
					}
					b.ReportMetric(float64(r.Looked), "looked")
				}
			})
		}
	}
}
