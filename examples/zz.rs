
use treenwright::{params,finding::Findings,shape::{self,Body}};
fn main(){
    let t=std::fs::read_to_string(std::env::args().nth(1).unwrap()).unwrap();
    let mut f=Findings::new();
    let d=params::parse_design(&t,&mut f).unwrap().0;
    let b=Body::new(&d); let l=b.lattice();
    for k in 0..l.blocks.len(){ for top in [true,false]{
        let at=|a:f64,c:f64|{let p=l.plan(k,a,c); p.extend(if top{b.top(p)}else{b.bottom(p)})};
        let n=400; let mut worst=(0.0,0.0,0.0,' ');
        for i in 1..n { for j in 1..8 { let (s,c)=(i as f64/n as f64, j as f64/8.0); let h=1.0/n as f64;
            for dir in [' ','b'] { let g=|s:f64| if dir==' ' {at(s,c)} else {at(c,s)};
              let r=(g(s+h)-2.0*g(s)+g(s-h)).length(); if r>worst.0 {worst=(r,s,c,dir);} } } }
        let p=at(0.5,0.5);
        println!("{k} {top} {:.5} at {:.3} {:.3} {} mid {:.1?}",worst.0,worst.1,worst.2,worst.3,p);
    }}
    let s=shape::solid(&b,&l).unwrap(); println!("fit {}",s.fit_error().as_mm());
}
