package chance

import "testing"

func BenchmarkSixtyPackages(b *testing.B)        { benchmark(b, "sixty small balls") }
func BenchmarkEightPackagesForBoth(b *testing.B) { benchmark(b, "one yarn for both") }
func BenchmarkWarpAndWeft(b *testing.B)          { benchmark(b, "warp and weft of two yarns") }
func BenchmarkThreeColours(b *testing.B)         { benchmark(b, "three colours, common scale") }

func benchmark(b *testing.B, name string) {
	for _, in := range instances() {
		if in.name != name {
			continue
		}
		for b.Loop() {
			if _, err := Fits(in.p); err != nil {
				b.Fatal(err)
			}
		}
		return
	}
	b.Fatal("no such instance")
}
