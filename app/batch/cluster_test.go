package batch

import (
	"errors"
	"io"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

// A workload is what README gives Kubernetes, as far as it matters here; the names are those of its API
// (https://kubernetes.io/docs/reference/kubernetes-api/, Job v1 and PersistentVolumeClaim v1).
type workload struct {
	Kind     string
	Metadata struct{ Name string }
	Spec     struct {
		CompletionMode       string   `yaml:"completionMode"`
		Completions          int      `yaml:"completions"`
		BackoffLimitPerIndex int      `yaml:"backoffLimitPerIndex"`
		AccessModes          []string `yaml:"accessModes"`
		Template             struct {
			Spec struct {
				RestartPolicy string `yaml:"restartPolicy"`
				Containers    []struct {
					Args      []string
					Resources struct{ Limits struct{ Memory string } }
					Mounts    []struct {
						Name string
						Path string `yaml:"mountPath"`
					} `yaml:"volumeMounts"`
				}
				Volumes []struct {
					Name  string
					Claim struct {
						Name string `yaml:"claimName"`
					} `yaml:"persistentVolumeClaim"`
				}
			}
		}
	}
}

// readmeBlock is the indented text between two marks of README.
func readmeBlock(t *testing.T, name string) string {
	t.Helper()
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, text, ok := strings.Cut(string(readme), "<!-- "+name+" -->\n")
	require.True(t, ok)
	text, _, ok = strings.Cut(text, "<!-- end of "+name+" -->")
	require.True(t, ok)
	return strings.ReplaceAll("\n"+text, "\n    ", "\n")
}

// README's Jobs are whole, and what their containers run does the job: each index its part, then the gate.
func TestReadmesJobsForKubernetes(t *testing.T) {
	all := map[string]workload{}
	text := yaml.NewDecoder(strings.NewReader(readmeBlock(t, "kubernetes")))
	for {
		var w workload
		err := text.Decode(&w)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		all[w.Kind+" "+w.Metadata.Name] = w
	}
	require.Len(t, all, 3)
	require.Equal(t, []string{"ReadWriteMany"}, all["PersistentVolumeClaim shot"].Spec.AccessModes)
	mattes, verify := all["Job mattes"].Spec, all["Job verify"].Spec
	require.Equal(t, "Indexed", mattes.CompletionMode)
	require.Positive(t, mattes.BackoffLimitPerIndex)

	b := newBeach(t)
	path := drift(t, b, 9)
	part := func(w workload, index int) {
		s := w.Spec.Template.Spec
		require.Equal(t, "Never", s.RestartPolicy, "with a limit for each index no other is allowed")
		c := s.Containers[0]
		require.NotEmpty(t, c.Resources.Limits.Memory)
		require.Equal(t, s.Volumes[0].Name, c.Mounts[0].Name)
		require.Equal(t, "shot", s.Volumes[0].Claim.Name)
		var args []string
		for _, a := range c.Args {
			a = strings.ReplaceAll(a, "$(JOB_COMPLETION_INDEX)", strconv.Itoa(index))
			a = strings.ReplaceAll(a, c.Mounts[0].Path+"/shot.halocline", path)
			args = append(args, strings.ReplaceAll(a, c.Mounts[0].Path, b.at("shot")))
		}
		status, _, stderr := run(t, args...)
		require.Zero(t, status, stderr)
	}
	for i := range mattes.Completions {
		part(all["Job mattes"], i)
	}
	part(all["Job verify"], 0)
	require.Equal(t, 1, len(verify.Template.Spec.Containers))
	require.Equal(t, 9, result[verifyReport](t, "verify", b.at("shot/mattes")).Good)
}

// What README's script for Slurm runs are verbs with flags that there are.
func TestReadmesScriptForSlurm(t *testing.T) {
	script := readmeBlock(t, "slurm")
	require.NotContains(t, script, "afterok", "a task that is queued again would stall it")
	for _, verb := range []string{"follow", "export", "verify"} {
		_, line, ok := strings.Cut(script, "halocline-batch "+verb)
		require.True(t, ok, verb)
		line, _, _ = strings.Cut(line, "'")
		_, help, _ := run(t, verb, "--help")
		for word := range strings.FieldsSeq(line) {
			if strings.HasPrefix(word, "--") {
				require.Contains(t, help, word+" ", "%s %s", verb, word)
			}
		}
	}
}
