module halocline

go 1.26.0

require (
	github.com/klauspost/compress v1.20.4
	github.com/lucasb-eyer/go-colorful v1.4.1
	github.com/stretchr/testify v1.12.1
	golang.org/x/image v0.48.0
	gonum.org/v1/gonum v0.17.0
)

require (
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.44.0 // indirect
)
