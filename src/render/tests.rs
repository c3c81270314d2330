//! The pictures, judged by areas and light on solids whose measures are known.

use super::*;
use glam::DVec3;
use std::f64::consts::PI;

/// An ellipsoid by latitude and longitude.
fn ellipsoid(a: f64, b: f64, c: f64) -> Mesh {
    let (rows, columns) = (64_u32, 96_u32);
    let mut mesh = Mesh::default();
    for i in 0..=rows {
        let (sin, cos) = (PI * f64::from(i) / f64::from(rows)).sin_cos();
        for j in 0..columns {
            let turn = 2.0 * PI * f64::from(j) / f64::from(columns);
            mesh.points.push(DVec3::new(a * sin * turn.cos(), b * sin * turn.sin(), c * cos));
        }
    }
    for i in 0..rows {
        for j in 0..columns {
            let next = (j + 1) % columns;
            let [p, q] = [i * columns + j, i * columns + next];
            mesh.triangles.push([p, p + columns, q + columns]);
            mesh.triangles.push([p, q + columns, q]);
        }
    }
    mesh
}

fn pixels(mesh: &Mesh, view: View, size: (usize, usize)) -> Vec<[f32; 3]> {
    draw(&Sitter::new(mesh), view, size, Wood::Cherry)
}

/// Area of the silhouette in mm², from the samples of the buffer.
fn silhouette(mesh: &Mesh, view: View) -> f64 {
    let size = (900, 400);
    let camera = Camera::fitted(mesh, &mesh.triangles, view, size).expect("it has triangles");
    let buffer = raster::draw(&raster::Corners::new(&Sitter::new(mesh), &camera), size);
    let covered = buffer.heights.iter().filter(|height| height.is_finite()).count();
    covered as f64 / camera.samples_per_mm().powi(2)
}

#[test]
fn silhouettes_have_the_areas_of_their_ellipses() {
    let mesh = ellipsoid(50.0, 35.0, 18.0);
    for (view, area) in [
        (View::Top, PI * 50.0 * 35.0),
        (View::Bottom, PI * 50.0 * 35.0),
        (View::Side, PI * 50.0 * 18.0),
    ] {
        let measured = silhouette(&mesh, view);
        // The mesh's 96 chords lose 0.07 % of an ellipse; the samples a few parts in ten thousand.
        assert!((measured / area - 1.0).abs() < 0.003, "{view:?}: {measured} for {area}");
    }
}

#[test]
fn the_side_towards_the_light_is_brighter() {
    let size = (400, 400);
    let picture = pixels(&ellipsoid(40.0, 40.0, 40.0), View::Top, size);
    let at = |x: usize, y: usize| picture[y * size.0 + x].iter().sum::<f32>();
    assert!(at(130, 130) > 1.4 * at(270, 270), "{} {}", at(130, 130), at(270, 270));
}

#[test]
fn the_tip_is_to_the_right_and_left_is_up_from_above_and_down_from_below() {
    // A wedge: tall at the tip, and wider to the left there.
    let points = vec![
        DVec3::new(0.0, 0.0, 0.0),
        DVec3::new(100.0, -5.0, 0.0),
        DVec3::new(100.0, 40.0, 0.0),
        DVec3::new(100.0, 0.0, 30.0),
    ];
    let mesh = Mesh { points, triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]] };
    let covered = |view: View| {
        let size = (200, 100);
        let camera = Camera::fitted(&mesh, &mesh.triangles, view, size).expect("it has triangles");
        let buffer = raster::draw(&raster::Corners::new(&Sitter::new(&mesh), &camera), size);
        let hit = |x: usize, y: usize| buffer.heights[y * size.0 + x].is_finite();
        let count = |xs: std::ops::Range<usize>, ys: std::ops::Range<usize>| {
            xs.map(|x| ys.clone().filter(|&y| hit(x, y)).count()).sum::<usize>()
        };
        let right = count(100..200, 0..100) > count(0..100, 0..100);
        (right, camera.projected(DVec3::Y).y < camera.projected(DVec3::ZERO).y)
    };
    assert_eq!(covered(View::Top), (true, true));
    assert_eq!(covered(View::Bottom), (true, false));
    assert!(covered(View::Side).0);
    assert!(covered(View::ThreeQuarter).0);
}

#[test]
fn the_nearer_of_two_sheets_is_seen() {
    let sheet =
        |z: f64| [(-10.0, -10.0), (10.0, -10.0), (0.0, 10.0)].map(|(x, y)| DVec3::new(x, y, z));
    let points: Vec<DVec3> = sheet(0.0).into_iter().chain(sheet(5.0)).collect();
    let mesh = Mesh { points, triangles: vec![[0, 1, 2], [3, 4, 5]] };
    let size = (60, 60);
    for (view, z) in [(View::Top, 5.0), (View::Bottom, 0.0)] {
        let camera = Camera::fitted(&mesh, &mesh.triangles, view, size).expect("it has triangles");
        let corners = raster::Corners::new(&Sitter::new(&mesh), &camera);
        let buffer = raster::draw(&corners, size);
        let hit = corners.at(&buffer, 30, 30).expect("the middle is covered");
        assert!((hit.point.z - z).abs() < 1e-9);
    }
}

#[test]
fn the_same_mesh_gives_the_same_bytes_and_png_reads_back() {
    let mesh = ellipsoid(50.0, 20.0, 9.0);
    let first = shaded(&mesh, &View::ThreeQuarter, (300, 140), Wood::Pear);
    assert_eq!(first, shaded(&mesh, &View::ThreeQuarter, (300, 140), Wood::Pear));
    let decoder = png::Decoder::new(std::io::Cursor::new(&first));
    let mut reader = decoder.read_info().expect("a PNG");
    let mut bytes = vec![0; reader.output_buffer_size().expect("it has a size")];
    let info = reader.next_frame(&mut bytes).expect("a frame");
    assert_eq!((info.width, info.height), (300, 140));
    assert_eq!(bytes[..3], [255, 255, 255], "the corner is paper");
}

#[test]
fn of_a_closed_mesh_what_looks_away_is_never_seen() {
    let mesh = ellipsoid(60.0, 25.0, 8.0);
    for view in View::ALL {
        let drawn = |sitter: Sitter<'_>| sitter.shaded(&view, (300, 140), Wood::Pear);
        assert_eq!(drawn(Sitter::new(&mesh)), drawn(Sitter::closed(&mesh)), "{view:?}");
        // And that it was told apart: turned inside out, nothing is left but the far side.
        let turned = |t: &[u32; 3]| [t[0], t[2], t[1]];
        let inside_out = Mesh {
            triangles: mesh.triangles.iter().map(turned).collect(),
            points: mesh.points.clone(),
        };
        assert_ne!(drawn(Sitter::new(&inside_out)), drawn(Sitter::closed(&inside_out)), "{view:?}");
    }
}

#[test]
fn a_bad_mesh_gives_a_blank_picture() {
    let nothing = Mesh::default();
    let broken = Mesh {
        points: vec![DVec3::NAN, DVec3::ZERO, DVec3::splat(1e300)],
        triangles: vec![[0, 1, 2], [0, 1, 9], [1, 1, 1]],
    };
    for mesh in [nothing, broken] {
        for view in View::ALL {
            assert!(pixels(&mesh, view, (20, 10)).iter().flatten().all(|&value| value == 1.0));
        }
    }
    assert!(!shaded(&Mesh::default(), &View::Top, (0, 0), Wood::Other).is_empty());
}

/// The corners of a path of `M`, `l` and `z`, as the SVG has them.
fn corners_of(d: &str) -> Vec<Vec<[f64; 2]>> {
    d.split('z')
        .filter(|part| !part.is_empty())
        .map(|part| {
            let part = part.trim_start_matches('M').replace('-', " -").replace('l', " ");
            let figures: Vec<f64> =
                part.split_whitespace().map(|figure| figure.parse().expect("a figure")).collect();
            let mut at = [0.0, 0.0];
            let step = |pair: &[f64]| {
                at = [at[0] + pair[0], at[1] + pair[1]];
                at
            };
            figures.chunks_exact(2).map(step).collect()
        })
        .collect()
}

#[test]
fn a_picture_as_svg_has_the_silhouettes_area_is_small_and_says_its_name_safely() {
    let mesh = ellipsoid(50.0, 35.0, 18.0);
    let name = "a <b> & \"c\"";
    let svg = shaded_svg(&mesh, &View::Top, (900, 400), Wood::Pear, name);
    assert_eq!(svg, shaded_svg(&mesh, &View::Top, (900, 400), Wood::Pear, name));
    assert!(svg.len() < 40_000, "{} bytes", svg.len());
    assert!(svg.contains("a &lt;b&gt; &amp;") && !svg.contains("<b>"));
    let d = svg.split(" d=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a path");
    let outline = &corners_of(d)[0];
    let next = outline.iter().cycle().skip(1);
    let doubled: f64 = outline.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum();
    // Ten steps to an element, 700 elements for 900; the camera leaves 6 % of the height free.
    let size = (700, 311);
    let camera = Camera::fitted(&mesh, &mesh.triangles, View::Top, size).expect("triangles");
    let per_mm = camera.samples_per_mm() * 10.0;
    let is = doubled.abs() / 2.0 / per_mm.powi(2);
    let ellipse = PI * 50.0 * 35.0;
    assert!((is / ellipse - 1.0).abs() < 0.005, "{is} for {ellipse}");
    let blank = shaded_svg(&Mesh::default(), &View::Side, (10, 10), Wood::Other, "");
    assert!(blank.starts_with("<svg") && !blank.contains("<path"));
}
