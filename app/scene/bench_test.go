package scene

import "testing"

func BenchmarkRender(b *testing.B) {
	for b.Loop() {
		if _, err := Render(b.Context(), 1, 1, Width, Height, 1); err != nil {
			b.Fatal(err)
		}
	}
}
