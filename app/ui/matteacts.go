package ui

func (w *window) renameMatte() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	w.sheets.AskName("Rename matte", m.Name, w.desk.RenameMatte)
}
