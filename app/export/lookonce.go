package export

import (
	"context"
	"fmt"
	"os"
	"slices"
)

// lookOnce looks once for all that this run wrote or left, so that nothing that befell
// the folder meanwhile goes unseen: its manifests, as they are on the disk, list the
// plan and each file, and each is there.
func (r *run) lookOnce(context.Context) error {
	if err := r.folder.check(); err != nil {
		return err
	}
	m, err := openManifest(r.Folder, r.Shard.ManifestName())
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(m.plans, r.plan.same) {
		return fmt.Errorf("export: %s no longer has the plan of this export: something changed it while the export ran; run the export again", m.path)
	}
	for _, e := range r.finished() {
		if now, known := m.entry(e.Name); !known || now.print() != e.print() || now.Settings != e.Settings {
			return fmt.Errorf("export: %s no longer lists %s as this export wrote it: something changed the folder while the export ran; run the export again", m.path, e.Name)
		}
		if e.Skipped != "" {
			continue
		}
		info, err := os.Stat(r.folder.at(e.Name))
		switch {
		case err != nil:
			return fmt.Errorf("export: %s is gone: something changed the folder while the export ran; run the export again: %w", r.folder.at(e.Name), err)
		case info.Size() != e.Size:
			return fmt.Errorf("export: %s has %d bytes, want %d: something changed it while the export ran; run the export again", r.folder.at(e.Name), info.Size(), e.Size)
		}
	}
	return nil
}
