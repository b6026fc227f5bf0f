package compose
import ("testing";"fmt";"math/rand/v2")
func TestDbg(t *testing.T){
  th:=sections([]int{2,0,2,6})
  p,_:=drawPools(4,th)
  s:=newSpares(p,th)
  cnt:=map[string]int{}; con:=0
  for _,c:=range p[0]{ for _,w:=range c.aspects(){cnt[w]++}; if c.concealed{con++}}
  for w,n:=range cnt{fmt.Println(w,n,s.most[0][w])}
  fmt.Println(len(p[0]),con)
  rng:=rand.New(rand.NewPCG(1,1))
  h:=map[int]int{}
  for range 2000{ l:=&layout{spares:s}; start:=0; for _,i:=range rng.Perm(len(p[0])){ if pl:=(place{0,i});l.goes(pl,-1){l.places=append(l.places,pl)}}; h[len(l.places)-start]++}
  fmt.Println(h)
}
