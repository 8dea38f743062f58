export function open(root, place) {}

export async function take(files, place) {}
