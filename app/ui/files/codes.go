package files

import (
	"fmt"
	"slices"
	"strings"

	"halocline/app/study"
	"halocline/colour"
)

// asTagged is what is said in place of a matrix and a range that are not chosen.
const asTagged = "as tagged"

// AskCodes asks for the matrix and range of a movie whose tags are wrong.
func (f *Files) AskCodes() {
	c, m := f.desk.Study().Clip, f.desk.Work.Clip.Info().Movie
	about := fmt.Sprintf("Where colours are off because the movie's tags are wrong or missing: a matrix, %s, or a range, %s, or both. It was opened with %s and %s range. \"%s\" follows the tags.",
		strings.Join(colour.LumaNames(), ", "), strings.Join(colour.RangeNames(), " or "), nameOr(m.Matrix, "no matrix"), m.Range, asTagged)
	f.over.AskText("Matrix and range", about, "Set", "matrix or range", nameOr(strings.TrimSpace(c.Matrix+" "+c.Range), asTagged), func(text string) error {
		matrix, codes, err := parseCodes(text)
		if err == nil {
			f.desk.Edit("Matrix and range", func(s *study.Study, _ *study.Matte) error {
				s.Clip.Matrix, s.Clip.Range = matrix, codes
				return nil
			})
		}
		return err
	})
}

func nameOr(name, other string) string {
	if name == "" {
		return other
	}
	return name
}

// parseCodes reads "bt601 full", either of both, or asTagged.
func parseCodes(text string) (matrix, codes string, err error) {
	if strings.EqualFold(strings.TrimSpace(text), asTagged) {
		return "", "", nil
	}
	for word := range strings.FieldsSeq(strings.ToLower(text)) {
		switch {
		case slices.Contains(colour.LumaNames(), word) && matrix == "":
			matrix = word
		case slices.Contains(colour.RangeNames(), word) && codes == "":
			codes = word
		default:
			return "", "", fmt.Errorf("found %q, want one of %s, limited or full, or: %s", word, strings.Join(colour.LumaNames(), ", "), asTagged)
		}
	}
	return matrix, codes, nil
}
