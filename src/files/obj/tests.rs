use super::*;
use crate::geometry::Mesh;

/// A unit cube of six quads, the way most programs write one.
const CUBE: &str = "# cube\nmtllib x.mtl\no Cube one\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n\
    v 0 0 1\r\nv 1 0 1\nv 1 1 1\nv 0 1 1\nvn 0 0 1\nvt 0 0\nusemtl steel\ns off\n\
    f 4 3 2 1\nf 5/1/1 6/1/1 7/1/1 8/1/1\nf 1//1 2//1 6//1 5//1\nusemtl other\n\
    f -6 -5 -1 -2\nf 2 3 7 \\\n6\nf 4 1 5 8\n";

fn volume(file: &ObjFile, object: usize) -> f64 {
    let mesh = Mesh::from_soup(&file.soup(&file.objects[object]));
    assert_eq!(mesh.measures().open_edges, 0);
    mesh.measures().volume_mm3
}

#[test]
fn a_cube_of_quads_encloses_one() {
    let file = read_obj(CUBE.as_bytes()).unwrap();
    assert_eq!(file.objects.len(), 1);
    assert_eq!(file.objects[0].name.as_deref(), Some("Cube one"));
    assert_eq!(file.objects[0].triangles.len(), 12);
    assert!((volume(&file, 0) - 1.0).abs() < 1e-15);
}

#[test]
fn objects_stay_apart_and_groups_do_not_split_them() {
    let two = format!(
        "{CUBE}g side\no Cube two\nv 5 0 0\nv 6 0 0\nv 5 1 0\nv 5 0 1\nf 9 11 10\nf 9 10 12\n\
         g other\nf 10 11 12\nf 11 9 12\np 1\nl 1 2\n"
    );
    let file = read_obj(two.as_bytes()).unwrap();
    assert_eq!(file.objects.len(), 2);
    assert_eq!(file.skipped, 2);
    assert!((volume(&file, 1) - 1.0 / 6.0).abs() < 1e-15);
}

#[test]
fn a_concave_face_is_cut_along_its_outline() {
    // An L of 3 unit squares and a whole prism over it; the reflex corner comes first.
    let text = "v 1 1 0\nv 1 2 0\nv 0 2 0\nv 0 0 0\nv 2 0 0\nv 2 1 0\nf 1 2 3 4 5 6\n";
    let file = read_obj(text.as_bytes()).unwrap();
    let soup = file.soup(&file.objects[0]);
    let area = |t: &[[f64; 3]; 3]| {
        let [a, b, c] = t;
        0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    };
    assert_eq!(soup.len(), 4);
    assert!(soup.iter().all(|t| area(t) > 0.0), "{soup:?}");
    assert!((soup.iter().map(area).sum::<f64>() - 3.0).abs() < 1e-15);
}

#[test]
fn faults_name_the_line() {
    let said = |text: &str| read_obj(text.as_bytes()).unwrap_err().to_string();
    assert!(said("v 0 0 0\nv 1 nan 0\n").contains("line 2"));
    assert!(said("v 0 0\n").contains("line 1"));
    assert!(said("v 1e999 0 0\n").contains("1e999"));
    assert!(said("v 0 0 0\nf 1 1 99\n").contains("99"));
    assert!(said("v 0 0 0\nf 1 0 1\n").contains("line 2"));
    assert!(said("v 0 0 0\nf 1 -2 1\n").contains("-2"));
    assert!(said("v 0 0 0\nf 1 1\n").contains("line 2"));
    assert!(said("f 99999999999999999999 1 1\n").contains("line 1"));
    assert_eq!(read_obj(b"v 0 0 0\n").unwrap_err(), ObjFault::NoFaces);
    assert_eq!(read_obj(b"").unwrap_err(), ObjFault::NoFaces);
    assert_eq!(read_obj(b"\xFF\xFE").unwrap_err(), ObjFault::NotText);
}

#[test]
fn no_damage_makes_it_panic() {
    // A generator of a few lines, so that a failure repeats.
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut next = move |below: usize| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % below as u64) as usize
    };
    for _ in 0..3000 {
        let mut bytes = CUBE.as_bytes().to_vec();
        for _ in 0..=next(4) {
            let at = next(bytes.len());
            match next(3) {
                0 => bytes[at] = next(256) as u8,
                1 => bytes.truncate(at.max(1)),
                _ => bytes[at] = b"0123456789-./ ef\n\\"[next(18)],
            }
        }
        if let Ok(file) = read_obj(&bytes) {
            let count = file.vertices.len();
            let all = file.objects.iter().flat_map(|o| &o.triangles).flatten();
            assert!(all.into_iter().all(|v| (*v as usize) < count));
        }
    }
}

#[test]
fn names_keep_their_hash_and_lines_end_any_way() {
    let named = |text: &str| read_obj(text.as_bytes()).unwrap().objects[0].name.clone();
    let face = "v 0 0 0 # first\nv 1 0 0\nv 0 1 0\nf 1 2 3# all\n";
    assert_eq!(
        named(&format!("o Plate #3\n{face}")),
        Some("Plate #3".to_owned())
    );
    assert_eq!(
        named(&format!("g Plate#3\n{face}")),
        Some("Plate#3".to_owned())
    );
    assert_eq!(
        named(&format!("o\tTabbed\n{face}")),
        Some("Tabbed".to_owned())
    );
    assert_eq!(named(&format!("# o No\n{face}")), None);
    // A group does not name what an object names.
    assert_eq!(
        named(&format!("o\tTabbed\ng side\n{face}")),
        Some("Tabbed".to_owned())
    );
    for ending in ["\r", "\r\n"] {
        let text = format!("o Plate\n{face}").replace('\n', ending);
        let file = read_obj(text.as_bytes()).unwrap();
        assert_eq!(file.objects[0].triangles, [[0, 1, 2]]);
        let bad = format!("{text}v 1 2 x{ending}");
        assert!(
            read_obj(bad.as_bytes())
                .unwrap_err()
                .to_string()
                .contains("line 6:")
        );
    }
}
