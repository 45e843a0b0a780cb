BEGIN {
  print "no,yarn,fibre,count,form,gross (g),tare (g),lot,bin,acquired,price per 100 g,warp,shedding,care,notes"
  split("cotton 100|wool 100|linen 100|cotton 60, linen 40|wool 75, nylon 25", f, "|")
  split("8/2 Ne|2/12 NeW|16/1 lea|22/2 Ne|4000 m/kg", c, "|")
  split("oat,slate,teal,plum,navy,moss,peat,rust", col, ",")
  for (i = 1; i <= n; i++) {
    y = int((i - 1) / 20); k = y % 5 + 1
    printf "%s%d,\"Sundry %d, %s\",\"%s\",%s,cone,%d,25,L%d,B%d,20%02d-%02d,%d.%d0,yes,%d,40 C,row %d of a long list\n", "R", i, y, col[i % 8 + 1], f[k], c[k], 100 + i % 400, i % 97, i % 50, 10 + i % 15, i % 12 + 1, 2 + i % 9, i % 10, y % 4, i
  }
}
