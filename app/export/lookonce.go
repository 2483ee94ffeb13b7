package export

import (
	"context"
	"fmt"
	"os"
	"slices"

	"halocline/app/clip"
	"halocline/app/study"
)

// lookOnce looks once for all that this run wrote or left, so that nothing that befell
// the folder meanwhile goes unseen: its manifests, as they are on the disk, list the
// plan and each file, each is there as it was, and no newer export wants another.
func (r *run) lookOnce(ctx context.Context) error {
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
		if err := r.stillThere(ctx, e); err != nil {
			return err
		}
	}
	return r.overtaken(m.plans)
}

// stillThere is an error where a file is not as this run wrote or left it. It is read only
// where somebody may have changed it.
func (r *run) stillThere(ctx context.Context, e Entry) error {
	if e.Skipped != "" {
		return nil
	}
	path := r.folder.at(e.Name)
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return fmt.Errorf("export: %s is gone: something changed the folder while the export ran; run the export again: %w", path, err)
	case info.Size() != e.Size:
		return fmt.Errorf("export: %s has %d bytes, want %d: something changed it while the export ran; run the export again", path, info.Size(), e.Size)
	case r.manifest.asSeen(e.Name, info):
		return nil
	}
	print, err := study.MeasureWhole(ctx, path)
	switch {
	case err != nil:
		return fmt.Errorf("export: %s cannot be read any more: %w", path, err)
	case print != e.print():
		return fmt.Errorf("export: %s has sha256 %.12s, want %.12s: something changed it while the export ran; run the export again", path, print.SHA256, e.SHA256)
	}
	return nil
}

// overtaken is an error where the newest plan of some of this run's frames is another
// export's, which began since, and wants other settings.
func (r *run) overtaken(plans []Plan) error {
	all, err := standingOf(plans)
	if err != nil {
		return err
	}
	own := wanted{}
	for _, t := range r.tasks {
		of := Series{}
		if t.matte != nil {
			of.Matte = t.matte.Name
		}
		own.set(r.plan.of(of), t.frame, r.settingsOf(t))
	}
	lost := own.others(all)
	if len(lost) == 0 {
		return nil
	}
	return fmt.Errorf("export: frames %s in %s are another export's now, of other settings, that began while this one ran: run again the export whose settings you want", clip.SpansText(clip.SpansOf(lost)), r.Folder)
}
