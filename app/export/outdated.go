package export

import (
	"context"
	"fmt"
	"strings"

	"halocline/app/study"
)

// markOutdated notes in the manifest, and tells, which files beside the pictures are of
// earlier ones: a matte's pictures were made anew, and this run does not make them.
func (r *run) markOutdated(ctx context.Context) error {
	made := map[string]bool{}
	for _, e := range r.finished() {
		made[e.Name] = true
	}
	var names []string
	for _, m := range r.mattes() {
		if !r.madeAnew(m) {
			continue
		}
		for _, ending := range []string{sheetEnding, overlayEnding, movieEnding} {
			e, known := r.manifest.entry(r.nameBeside(m, ending))
			if !known || e.Outdated || made[e.Name] {
				continue
			}
			e.Outdated = true
			if _, err := r.manifest.add(ctx, e); err != nil {
				return r.folder.why(err)
			}
			names = append(names, e.Name)
		}
	}
	if len(names) > 0 && r.Notice != nil && r.Shard.whole() {
		r.Notice(fmt.Sprintf("these do not match the pictures, and verify will say so: %s; export with them again, or remove them and their lines in the manifest", strings.Join(names, ", ")))
	}
	return nil
}

// madeAnew reports whether this run made any picture of a matte.
func (r *run) madeAnew(m *study.Matte) bool {
	for i, t := range r.tasks {
		if t.matte == m && r.fresh[i] && r.done[i].Skipped == "" {
			return true
		}
	}
	return false
}

// versionOf is the version that entries have.
func (r *run) versionOf() int {
	if r.Pattern.Has("version") {
		return r.Version
	}
	return 0
}
