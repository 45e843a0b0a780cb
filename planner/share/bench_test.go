package share

import (
	"context"
	"fmt"
	"testing"
)

func BenchmarkSolve(b *testing.B) {
	for _, size := range [][2]int{{8, 60}, {20, 150}, {40, 300}} {
		b.Run(fmt.Sprintf("projects=%d/packages=%d", size[0], size[1]), func(b *testing.B) {
			p := randomInstance(1, size[0], size[1]).problem()
			for b.Loop() {
				if s, err := Solve(context.Background(), p); err != nil || !s.Proven {
					b.Fatal(err)
				}
			}
		})
	}
}
