package shot

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"halocline/app/regular"
	"halocline/app/render"
)

// A FigureStore keeps data beyond a shot's life, under digests of 64 hexadecimal digits. It may
// be called from several goroutines.
type FigureStore interface {
	Load(digest string) ([]byte, bool)
	Save(digest string, data []byte)
}

// figuresForm is the form of kept figures and what they mean: one that changes either raises it.
const figuresForm = 2

// A keptFrame is a frame's figures as they are kept.
type keptFrame struct {
	Frame
	Width int
	Sums  []keptSums
}

type keptSums struct {
	Mask int
	Size [2]float64
	Sums [2][intervals]float32
}

// A keeper keeps figures of one footage.
type keeper struct {
	store   FigureStore
	footage string
}

// keeper returns what keeps the shot's figures; nil where nothing does: without a store, with a
// truth, whose files are not looked at, and where the source tells no files.
func (s *Shot) keeper() *keeper {
	files, is := s.Source.(render.FileSource)
	if s.Figures == nil || s.Truth != nil || !is {
		return nil
	}
	h := sha256.New()
	before := ""
	for _, n := range s.Frames {
		path := files.Path(n)
		if path == before { // a movie has all frames in one
			continue
		}
		before = path
		info, err := regular.Stat(path)
		if err != nil {
			return nil
		}
		fmt.Fprintln(h, n, info.Size(), info.ModTime().UnixNano())
	}
	if before == "" {
		return nil
	}
	return &keeper{s.Figures, hex.EncodeToString(h.Sum(nil))}
}

func (k *keeper) digest(key string) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "form %d of footage %s key %s", figuresForm, k.footage, key))
	return hex.EncodeToString(sum[:])
}

// load returns the figures of a frame; false where none are kept.
func (k *keeper) load(key string) (Frame, bool) {
	data, has := k.store.Load(k.digest(key))
	var kept keptFrame
	if !has || json.Unmarshal(data, &kept) != nil {
		return Frame{}, false
	}
	f := kept.Frame
	f.key, f.width = key, kept.Width
	for _, s := range kept.Sums {
		f.maskSums = append(f.maskSums, maskSums{s.Mask, s.Size, s.Sums})
	}
	return f, true
}

// save keeps a frame's figures; of one that could not be judged there are none.
func (k *keeper) save(f Frame) {
	if k == nil || f.Err != nil {
		return
	}
	kept := keptFrame{Frame: f, Width: f.width}
	for _, s := range f.maskSums {
		kept.Sums = append(kept.Sums, keptSums{s.mask, s.size, s.sums})
	}
	if data, err := json.Marshal(kept); err == nil {
		k.store.Save(k.digest(f.key), data)
	}
}

// loadKept gives done the frames of order whose figures are kept, and returns the others. Figures
// that have the carried change too serve where it is not asked for.
func (s *Shot) loadKept(ctx context.Context, k *keeper, order []int, done func(Frame)) (others []int) {
	if k == nil {
		return order
	}
	dabs := s.dabsKey()
	carried := *s
	carried.Carry = true
	for _, n := range order {
		key := s.key(n, dabs)
		f, has := k.load(key)
		if !has && !s.Carry {
			f, has = k.load(carried.key(n, dabs))
			f.key, f.CarriedChange = key, nil
		}
		if !has || ctx.Err() != nil {
			others = append(others, n)
			continue
		}
		done(f)
	}
	return others
}
