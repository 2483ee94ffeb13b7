package batch

import (
	"context"
	"fmt"
	"halocline/app/check"
	"halocline/app/contact"
	"halocline/app/export"
	"halocline/app/view"
	"image/png"
	"io"
)

// writeSheet draws the frames that changed most, and returns where; "" where none is asked for or
// nothing changed.
func (k changesFlags) writeSheet(ctx context.Context, c *call, pairs []changePair) (string, error) {
	if k.sheet == "" {
		return "", nil
	}
	var rows []changeRow
	for i := range pairs {
		for _, n := range pairs[i].matte.Worst {
			rows = append(rows, changeRow{&pairs[i], n})
		}
	}
	if len(rows) == 0 {
		c.notice("no frame changed: %s is not written", k.sheet)
		return "", nil
	}
	var at readPair
	picture, err := contact.Draw(ctx, contact.Three, 3*len(rows), func(i int) (contact.Print, error) {
		row := rows[i/3]
		if i%3 == 0 {
			var err error
			if at, err = row.pair.read(ctx, row.frame); err != nil {
				return contact.Print{}, err
			}
		}
		return k.print(row, at, i%3), nil
	})
	if err != nil {
		return "", err
	}
	return k.sheet, export.WriteFile(k.sheet, func(w io.Writer) error { return png.Encode(w, picture) })
}

// A changeRow is one frame of a sheet.
type changeRow struct {
	pair  *changePair
	frame int
}

// print is A, B or their difference.
func (k changesFlags) print(row changeRow, at readPair, column int) contact.Print {
	f := row.pair.matte.frame(row.frame)
	title := fmt.Sprintf("%s, frame %d", row.pair.matte.Name, row.frame)
	plane, note := at.a, "A: "+k.a
	switch column {
	case 1:
		plane, note = at.b, "B: "+k.b
	case 2:
		plane = check.Difference(at.a, at.b)
		title = fmt.Sprintf("IoU %.4f, mean change %.4f", *f.IoU, f.Mean)
		note = "grey: the same; lighter: B keeps more; darker: less"
	}
	layers := view.Layers{Factor: 1, Matte: &plane}
	layers.Region.Max.X, layers.Region.Max.Y = plane.W, plane.H
	return contact.Print{View: view.Matte, Layers: layers, Title: title, Note: note}
}
