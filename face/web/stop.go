package web

import (
	"fmt"
	"net/http"
	"slices"

	"secondpass/face/web/page"
)

// routeStop is the page that stops the workbook, for whoever started it by a double click and has no terminal.
func (s *Server) routeStop(mux page.Routes) {
	mux.HandleFunc("GET /stop", s.Handle(func(w http.ResponseWriter, _ *http.Request) error {
		return s.askToStop(w, http.StatusOK)
	}))
	mux.HandleFunc("POST /stop", s.Handle(s.stopNow))
}

// stopPage says who else loses the workbook when it is stopped: a sentence each.
type stopPage struct{ Others []string }

// others is who else uses the workbook.
func (s *Server) others() (all []string, err error) {
	going, err := s.Classes.TeacherLinks()
	if err != nil {
		return nil, err
	}
	if n := len(going); n > 0 {
		all = append(all, fmt.Sprintf("Live classes that have not ended: %d. Their phones wait until the workbook is open again.", n))
	}
	if s.key != "" {
		all = append(all, "The workbook is open to the network: others who have its key lose it too, and need another key afterwards.")
	}
	return all, nil
}

func (s *Server) askToStop(w http.ResponseWriter, status int) error {
	others, err := s.others()
	if err != nil {
		return err
	}
	s.Render(w, status, "stop", page.Page{Title: "Stop the workbook", Section: "Help", Data: stopPage{others}})
	return nil
}

// stopNow answers with a page that needs no workbook, then lets Serve end. Who else uses the workbook must have been told: what
// came since the question was asked is asked again.
func (s *Server) stopNow(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	others, err := s.others()
	if err != nil {
		return err
	}
	for _, o := range others {
		if !slices.Contains(r.PostForm["told"], o) {
			return s.askToStop(w, http.StatusConflict)
		}
	}
	s.RenderIn(w, http.StatusOK, "stop", "stopped", s.dir)
	s.stop()
	return nil
}

// restoreFrom lets Serve end, so that what is in a backup takes the place of what is kept, unless others use the workbook.
func (s *Server) restoreFrom(file string) error {
	others, err := s.others()
	if err != nil {
		return err
	}
	if len(others) > 0 {
		return page.Refused("Nothing is restored while others use the workbook: %s", others[0])
	}
	s.restore = file
	s.stop()
	return nil
}

// Restore is the backup that is to be restored now that Serve has ended, "" for none.
func (s *Server) Restore() string { return s.restore }
