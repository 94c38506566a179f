//! Files that are added to the page or to the examples must get into the program too.

fn main() {
    println!("cargo::rerun-if-changed=../../web");
    println!("cargo::rerun-if-changed=../../examples");
}
