package compose
import ("testing";"fmt";"math/rand/v2";"os";"strconv")
func TestSeeds(t *testing.T){
 from,_:=strconv.Atoi(os.Getenv("FROM")); to,_:=strconv.Atoi(os.Getenv("TO"))
 for seed:=uint64(from);seed<uint64(to);seed++{
  th:=sections([]int{2,0,2,6})
  p,err:=drawPools(seed,th); if err!=nil{fmt.Println(err);continue}
  l,err:=choose(rand.New(rand.NewPCG(seed,0)),p,th); if err!=nil{fmt.Println(seed,err);continue}
  fmt.Printf("%d blemish %.3f variants %d kinds %.2f concealed %d flowers %d sizes %v suits %v\n",seed,l.now,l.sums.variants,l.sums.kinds/float64(l.sums.variants),l.sums.concealed,l.sums.flowers,l.sums.sizes,l.sums.suits)
 }
}
